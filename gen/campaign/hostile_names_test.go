package campaign

import (
	"strings"
)

// hostileYAML are texts that make a YAML reader work hard or go wrong.
func hostileYAML() (out texts) {
	out.add("alias bomb", "yaml-alias", "controller: x\nrate: 1 Hz\na: &a [x,x,x,x,x,x,x,x,x]\nb: &b [*a,*a,*a,*a,*a,*a,*a,*a]\nc: &c [*b,*b,*b,*b,*b,*b,*b,*b]\nd: &d [*c,*c,*c,*c,*c,*c,*c,*c]\nsteps: *d\n")
	out.add("alias bomb of maps", "yaml-merge", "a: &a {x: 1}\n"+many(200, "b%d: {<<: *a}\n"))
	out.add("alias bomb of 200 levels", "yaml-alias", "a0: &a0 [x]\n"+many(200, "b%[1]d: &b%[1]d [*a0, *a0, *a0, *a0, *a0, *a0]\n"))
	out.add("an alias of itself", "*", "controller: &a [*a]\n")
	out.add("lists 100000 deep", "too-deep", strings.Repeat("[", 100_000))
	out.add("maps 9000 deep", "too-deep", many(9000, "{a%d: ")+strings.Repeat("}", 9000))
	out.add("indented 400 deep", "*", func() string {
		var b strings.Builder
		for i := range 400 {
			b.WriteString(strings.Repeat(" ", i) + "a:\n")
		}
		return b.String()
	}())
	out.add("nothing", "empty-spec", "")
	out.add("a null byte", "bad-character", "controller: x\x00y\n")
	out.add("a byte order mark inside", "bad-character", "controller: x\uFEFFy\n")
	out.add("UTF-16", "bad-character", "\xff\xfec\x00o\x00n\x00t\x00r\x00o\x00l\x00l\x00e\x00r\x00:\x00 \x00x\x00\n\x00")
	out.add("a million commas", "too-large", "a: ["+strings.Repeat(",", 1_000_000)+"]")
	for _, sign := range []string{`"`, "'", ": ", "? ", "&a ", "|\n", "- ", "{", "[", "[]", "*a ", "!x ", "%", "@", "\n", "\t", "a:\n ", "\\", "# ", "---\n", "...\n", "<<: ", "é"} {
		out.add("256 KiB of "+sign, "*", strings.Repeat(sign, (256<<10)/len(sign)))
	}
	out.add("30000 keys", "*", many(20_000, "k%d: 1\n"))
	out.add("one key 50000 times", "*", strings.Repeat("k: 1\n", 50_000))
	out.add("1000 documents", "several-documents", many(1000, "---\n"+controller{name: "t%d"}.text()))
	out.add("a megabyte of comment", "too-large", "#"+strings.Repeat("x", 1<<20)+"\n"+controller{}.text())
	out.add("200 KiB of comment", "", "#"+strings.Repeat("*/", 100<<10)+"\n"+controller{}.text())
	return out
}

// hostileNames are names that leave the folder or their comment, or that mean something to a compiler.
func hostileNames() (out texts) {
	out.with("a megabyte name", "too-large", controller{name: strings.Repeat("a", 1<<20)})
	out.with("a name of 200 KiB", "too-long", controller{name: strings.Repeat("a", 200<<10)})
	out.with("a name of 1000", "bad-name", controller{name: strings.Repeat("a", 1000)})
	out.with("the longest names", "", controller{name: strings.Repeat("a", 32), input: strings.Repeat("b", 32), step: strings.Repeat("c", 32), output: strings.Repeat("d", 32)})
	for _, n := range []string{"../tray", "/etc/passwd", "..", "a/b", `a\b`, `C:\tray`, "a b", "-o", "~", "a.b", "$(id)", "`id`", "a;b", "tray.h", "__x", "_x", "x__y", "Tray", "ta%73k", "5x", `"*/"`, "x\\", "x??/", "aux.txt",
		"NULL", "PORTB", "F", "B1", "EOF", "INT8_MIN", "PI", "HIGH", "tr\u0430y", "tr\u202eay"} {
		for _, c := range []struct {
			where string
			controller
		}{{"", controller{name: "'" + n + "'"}}, {"input ", controller{input: "'" + n + "'"}}, {"step ", controller{step: "'" + n + "'"}}, {"output ", controller{output: "'" + n + "'"}}} {
			rule := "bad-name"
			if strings.ContainsFunc(n, func(r rune) bool { return r > '~' }) {
				rule = "bad-character"
			}
			out.with(c.where+"named "+n, rule, c.controller)
		}
	}
	for _, n := range strings.Fields("con prn aux nul com1 lpt9") {
		out.with("named "+n, "reserved-name", controller{name: n})
	}
	// Keywords, what C and Go declare themselves, and macros that come with compilers: refused.
	for _, n := range strings.Fields(`for int auto inline restrict signed union class package linux unix i386 main errno eof int8_c uint16_t uint_fast8_t size_t bool true nil func type
		new delete template asm register and xor compl not_eq static_assert thread_local alignas wchar_t char8_t len cap append make panic iota string error null assert init`) {
		out.with("named "+n, "reserved-name", controller{name: n})
		out.with("input named "+n, "reserved-name", controller{input: n})
		out.with("step named "+n, "reserved-name", controller{step: n})
		out.with("output named "+n, "reserved-name", controller{output: n})
	}
	// What the emitted files use themselves, functions of C libraries, and macros of boards' headers: safe, or refused.
	for _, n := range strings.Fields(`s in out state step init active pending round clamp wrap test selftest stream vectors value reset seen last e a b t i j x1 h math rand big os fmt go state_t
		con_x tick ticks none entry stamp weighed run live table k min_x abs fabs sin exp y0 y1 j0 j1 jn gamma signal time exit abort printf malloc free index div remainder log random
		arctan reference integer controller wiring bits truth b2i none_1 check param output input uint8 int8_t_x inf nan min max constrain radians degrees sq bit lsb lo hi
		interrupts sei cli pgm_read_byte portb f_cpu pi high low f b1 b01 near far huge small code data xdata sbit complex imaginary noreturn stdin stdout stderr
		isnan islower toupper offsetof setjmp va_arg nearest shift half low16 mul16 product turn angle quarter count counts gain gains setter version hash`) {
		out.with("named "+n, "*", controller{name: n})
		out.with("input named "+n, "*", controller{input: n, step: "p", output: "q"})
		out.with("step named "+n, "*", controller{input: "p", step: n, output: "q"})
		out.with("output named "+n, "*", controller{input: "p", step: "q", output: n})
	}
	return out
}

// hostileComments are texts that end in comments of C and Go.
func hostileComments() (out texts) {
	for _, text := range []string{"ends */ int x;", "opens /* int x;", "a trigraph ??/", "ends in \\", "??)", "*\\"} {
		out.with("about "+text, "unsafe-text", controller{about: "'" + text + "'"})
	}
	for _, text := range []string{"// nested", "* /", "/ *", "%s %n %d", "${HOME} $(id)", "`x`", "{{.Name}}", "<script>", "#define x", "\\n", "a\\b", "'' quotes \" `", "//go:build ignore", "+build ignore", "*", "/", "@", "?", "back\\ slash", "a*",
		"what?\\?/", "#include </dev/zero>", "--> ]]>", "%:define x"} {
		out.with("about harmless "+text, "", controller{about: "'" + text + "'"})
	}
	for name, escape := range map[string]string{"a line end": `\n`, "a carriage return": `\r`, "a line separator": `\u2028`, "a next line": `\u0085`, "text turned round": `\u202e`, "an isolate": `\u2066`,
		"a null": `\0`, "a bell": `\a`, "an escape": `\e[2J`, "a backspace": `\b`, "a delete": `\x7f`, "a zero width space": `\u200b`, "a no-break space": `\u00a0`, "a tag": `\U000e0041`, "a form feed": `\f`, "a vertical tab": `\v`} {
		out.with("about with "+name, "bad-character", controller{about: `"a` + escape + `int x;"`})
		out.with("unit with "+name, "bad-character", controller{unit: `"a` + escape + `b"`})
		out.with("named with "+name, "bad-character", controller{name: `"a` + escape + `b"`})
	}
	out.with("about of 1000", "too-long", controller{about: strings.Repeat("a", 1000)})
	for _, unit := range []string{"*/", "/*", "deg/", "//", "a/*b", "??/", `a\`, "a b", "%s/", strings.Repeat("a", 17)} {
		out.with("unit "+unit, "bad-unit", controller{unit: "'" + unit + "'"})
	}
	for _, unit := range []string{"%", "%s", "%n", "%d/s", "m/s^2", "1/s", "a.b", "e", "inf"} {
		out.with("unit "+unit, "*", controller{unit: "'" + unit + "'"})
	}
	return out
}
