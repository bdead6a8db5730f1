package campaign

import (
	"fmt"
	"strings"
)

// hostile are texts with the rule of the first error that they lead to; "" means that they are accepted, "*" that either will do.
var hostile = func() (out []struct{ name, text, rule string }) {
	add := func(name, rule, text string) {
		out = append(out, struct{ name, text, rule string }{name, text, rule})
	}
	with := func(name, rule string, c controller) { add(name, rule, c.text()) }
	many := func(n int, format string) string {
		var b strings.Builder
		for i := range n {
			fmt.Fprintf(&b, format, i)
		}
		return b.String()
	}

	// YAML
	add("alias bomb", "yaml-alias", "controller: x\nrate: 1 Hz\na: &a [x,x,x,x,x,x,x,x,x]\nb: &b [*a,*a,*a,*a,*a,*a,*a,*a]\nc: &c [*b,*b,*b,*b,*b,*b,*b,*b]\nd: &d [*c,*c,*c,*c,*c,*c,*c,*c]\nsteps: *d\n")
	add("alias bomb of maps", "yaml-alias", "a: &a {x: 1}\n"+many(200, "b%d: {<<: *a}\n"))
	add("lists 100000 deep", "too-deep", strings.Repeat("[", 100_000))
	add("maps 9000 deep", "too-deep", many(9000, "{a%d: ")+strings.Repeat("}", 9000))
	add("indented 400 deep", "*", func() string {
		var b strings.Builder
		for i := range 400 {
			b.WriteString(strings.Repeat(" ", i) + "a:\n")
		}
		return b.String()
	}())
	add("nothing", "empty-spec", "")
	add("a null byte", "bad-character", "controller: x\x00y\n")
	add("a million commas", "too-large", "a: ["+strings.Repeat(",", 1_000_000)+"]")
	add("256 KiB of quotes", "*", strings.Repeat(`"`, 256<<10))
	add("256 KiB of colons", "*", strings.Repeat(": ", 128<<10))
	add("256 KiB of question marks", "*", strings.Repeat("? ", 128<<10))
	add("256 KiB of anchors", "*", strings.Repeat("&a ", 85<<10))
	add("256 KiB of bars", "*", strings.Repeat("|\n", 128<<10))
	add("256 KiB of dashes", "*", strings.Repeat("- ", 128<<10))
	add("80000 keys", "*", many(30_000, "k%d: 1\n"))
	add("one key 60000 times", "*", strings.Repeat("k: 1\n", 50_000))
	add("a megabyte of comment", "too-large", "#"+strings.Repeat("x", 1<<20)+"\n"+controller{}.text())
	add("200 KiB of comment", "", "#"+strings.Repeat("*/", 100<<10)+"\n"+controller{}.text())

	// names
	with("a megabyte name", "too-large", controller{name: strings.Repeat("a", 1<<20)})
	with("a name of 200 KiB", "too-long", controller{name: strings.Repeat("a", 200<<10)})
	with("a name of 1000", "bad-name", controller{name: strings.Repeat("a", 1000)})
	with("the longest name", "", controller{name: strings.Repeat("a", 32), input: strings.Repeat("b", 32), step: strings.Repeat("c", 32), output: strings.Repeat("d", 32)})
	for _, n := range []string{"../tray", "/etc/passwd", "..", "a/b", `a\b`, "a b", "-o", "~", "a.b", "$(id)", "`id`", "a;b", "tray.h", "__x", "_x", "x__y", "Tray", "ta%73k", "5x", `"*/"`, "x\\"} {
		with("named "+n, "bad-name", controller{name: "'" + n + "'"})
		with("input named "+n, "*", controller{input: "'" + n + "'"})
	}
	for _, n := range strings.Fields("for int class package linux unix main errno eof int8_c uint16_t size_t bool true nil func type new delete template asm register inline and xor static_assert wchar_t") {
		with("named "+n, "*", controller{name: n})
		with("input named "+n, "*", controller{input: n})
		with("step named "+n, "*", controller{step: n})
		with("output named "+n, "*", controller{output: n})
	}
	for _, n := range strings.Fields(`s in out state step init active pending round clamp wrap test selftest stream vectors value reset seen last e a b t i j x1 h math rand big os fmt go state_t
		con_x tick ticks none entry stamp weighed run live table k min_x abs fabs sin exp y0 y1 j0 j1 jn gamma signal time exit abort printf malloc free index div remainder log random
		arctan reference integer controller wiring bits truth b2i none_1 check param output input uint8 int8_t_x inf nan`) {
		with("named "+n, "*", controller{name: n})
		with("input named "+n, "*", controller{input: n, step: "p", output: "q"})
		with("step named "+n, "*", controller{input: "p", step: n, output: "q"})
		with("output named "+n, "*", controller{input: "p", step: "q", output: n})
	}

	// texts that end in comments
	for _, text := range []string{"ends */ int x;", "opens /* int x;", "a trigraph ??/", "ends in \\", "what?\\?/", "??)", "*\\"} {
		with("about "+text, "unsafe-text", controller{about: "'" + text + "'"})
	}
	for _, text := range []string{"// nested", "* /", "/ *", "%s %n %d", "${HOME} $(id)", "`x`", "{{.Name}}", "<script>", "#define x", "\\n", "a\\b", "'' quotes \" `", "//go:build ignore", "+build ignore", "*", "/", "@", "?", "back\\ slash", strings.Repeat("a*/ ", 1)[:2]} {
		with("about harmless "+text, "", controller{about: "'" + text + "'"})
	}
	with("about with a line end", "bad-character", controller{about: `"a\nint x;"`})
	with("about with a line separator", "bad-character", controller{about: `"a\u2028b"`})
	with("about turned round", "bad-character", controller{about: `"a\u202eb"`})
	with("about of 1000", "too-long", controller{about: strings.Repeat("a", 1000)})
	for _, unit := range []string{"*/", "/*", "deg/", "//", "a/*b", "??/", `a\`, "a b", "%s/", strings.Repeat("a", 17)} {
		with("unit "+unit, "bad-unit", controller{unit: "'" + unit + "'"})
	}
	for _, unit := range []string{"%", "%s", "%n", "%d/s", "m/s^2", "1/s", "a.b", "e", "inf"} {
		with("unit "+unit, "", controller{unit: "'" + unit + "'"})
	}

	// numbers
	for _, n := range []string{"1e-999999", "1e999999", "0x1p99999", "1e-31", "1e31", "nan", ".nan", ".inf", "-.inf", "0x10", "1_000", "1,5", "1/3", "0b1", "'" + strings.Repeat("9", 1000) + "'", strings.Repeat("9", 41), "0." + strings.Repeat("0", 200) + "1", "1e", "--1", "+-1", "''", "~", "[1]", "{a: 1}", "1e+-3", "٣"} {
		with("counts_per_unit "+n[:min(len(n), 20)], "*", controller{counts: n})
		with("rate "+n[:min(len(n), 20)], "*", controller{rate: n + " Hz"})
		with("a limit "+n[:min(len(n), 20)], "*", controller{more: "kind: clamp, of: x, limits: [0, " + n + "]"})
		with("a factor "+n[:min(len(n), 20)], "*", controller{more: "kind: sum, of: {x: " + n + "}"})
		with("a time "+n[:min(len(n), 20)], "*", controller{more: "kind: low_pass, of: x, time_constant: " + n + " s"})
	}
	for _, n := range []string{"1e-30", "9e30", "-1e-30", "-9e30", "1e-15", "1e15", "0.3333333333333333333333333333333333333333"} {
		with("small and large counts "+n, "*", controller{counts: n})
		with("small and large factor "+n, "*", controller{more: "kind: sum, of: {x: " + n + "}"})
		with("small and large offset "+n, "*", controller{more: "kind: sum, of: {x: 1}, offset: " + n})
		with("small and large limit "+n, "*", controller{more: "kind: clamp, of: x, limits: [-10000000000000000000000000000000, " + n + "]"})
		with("small and large time "+n, "*", controller{more: "kind: low_pass, of: x, time_constant: " + n})
		with("small and large cutoff "+n, "*", controller{more: "kind: low_pass, of: x, cutoff: " + n})
		for _, key := range []string{"kp", "ki", "kd"} {
			with("small and large "+key+" "+n, "*", controller{more: "kind: pid, target: 0, measured: x, " + key + ": " + n + ", limits: [-9e30, 9e30]"})
			with("live "+key+" "+n, "*", controller{more: "kind: pid, target: 0, measured: x, " + key + ": " + n + ", limits: [-100, 100]", rest: "tuning: {y." + key + ": [-9e30, 9e30]}\n"})
		}
		with("small and large accuracy "+n, "*", controller{rest: "accuracy: {z: " + n + " count, y: " + n + " mm}\n"})
		with("small and large section "+n, "*", controller{more: "kind: second_order, of: x, b: [" + n + ", 1, 1], a: [0, 0]"})
		with("small and large frequency "+n, "*", controller{more: "kind: second_order, of: x, response: notch, frequency: " + n + ", q: 1"})
	}
	for _, r := range []string{"1e-30 Hz", "1e30 Hz", "1000 kHz", "3600 s", "1 us", "0.001 us", "1e-30 s", "0 Hz", "-1 Hz", "0.0002777777777777777777777777777777777778 Hz", "999999.9999999999999999999999999999 Hz"} {
		with("rate "+r, "*", controller{rate: r})
		with("rate of a pid "+r, "*", controller{rate: r, more: "kind: pid, target: 0, measured: x, kp: 1, ki: 1, kd: 1, derivative_filter: 3 ticks, limits: [-100, 100]"})
	}
	for _, blend := range []string{"0.9999", "0.999999", "0.99999999", "0.9999999999", "0.999999999999999999999999999999"} {
		with("a blend of "+blend, "*", controller{more: "kind: low_pass, of: x, blend: " + blend})
	}
	for _, average := range []string{"1 ticks", "32768 ticks", "32769 ticks", "1000000 ticks", "1e30 ticks", "0.5 ticks"} {
		with("an average of "+average, "*", controller{more: "kind: bias_at_rest, of: x, limit: 1e3, average: " + average})
	}
	for _, f := range []string{"49.999999", "1", "0.01", "0.001", "0.0001", "0.00001", "1e-6", "1e-9", "1e-20"} {
		for _, q := range []string{"0.05", "0.7", "30", "1000"} {
			for _, r := range []string{"low_pass", "notch", "peaking, gain_db: 60", "band_pass, structure: transposed", "high_pass, structure: feedback_2"} {
				with(fmt.Sprintf("%s at %s, q %s", r, f, q), "*", controller{more: "kind: second_order, of: x, response: " + r + ", frequency: " + f + ", q: " + q})
			}
		}
	}
	for _, a := range []string{"-1.9999999999, 0.99999999990001", "-2, 1", "0, 0.999999999999", "1.99999, 0.99999", "0, -0.9999999", "-1.999999, 0.9999990001", "1e-30, -1e-30"} {
		with("poles "+a, "*", controller{more: "kind: second_order, of: x, b: [1, 0, 0], a: [" + a + "]"})
	}

	// size
	chain := func(n int, step string) string {
		var b strings.Builder
		b.WriteString("controller: tray\nrate: 100 Hz\ninputs: {s0: {raw: int16, unit: mm, counts_per_unit: 10}}\nsteps:\n")
		for i := range n {
			fmt.Fprintf(&b, "  s%d: {%s}\n", i+1, strings.ReplaceAll(step, "$", fmt.Sprintf("s%d", i)))
		}
		fmt.Fprintf(&b, "outputs: {z: {from: s%d, raw: int16, unit: mm}}\n", n)
		return b.String()
	}
	for _, n := range []int{100, 400, 1000, 4000} {
		add(fmt.Sprintf("%d sums", n), "*", chain(n, "kind: sum, of: {$: -1}"))
		add(fmt.Sprintf("%d factors", n), "*", chain(n, "kind: sum, of: {$: 0.7}, limits: [-9, 9]"))
		add(fmt.Sprintf("%d low-passes", n), "*", chain(n, "kind: low_pass, of: $, blend: 0.98"))
		add(fmt.Sprintf("%d controllers", n), "*", chain(n, "kind: pid, target: 0, measured: $, ki: 1, limits: [-9, 9]"))
		add(fmt.Sprintf("%d sections", n), "*", chain(n, "kind: second_order, of: $, response: notch, frequency: 1, q: 3"))
		add(fmt.Sprintf("%d slow sections", n), "*", chain(n, "kind: second_order, of: $, response: low_pass, frequency: 0.001, q: 3"))
	}
	add("16 slow sections for avr8", "*", "target: avr8\n"+chain(16, "kind: second_order, of: $, response: notch, frequency: 0.0001, q: 3"))
	add("a sum of 4000 terms", "*", "controller: tray\nrate: 1 Hz\ninputs:\n"+many(1500, "  i%d: {raw: int16, unit: mm, counts_per_unit: 7}\n")+"steps: {y: {kind: sum, of: {"+many(1500, "i%d: 0.3, ")+"}}}\noutputs: {z: {from: y, raw: int16, unit: mm}}\n")
	add("3000 outputs", "*", "controller: tray\nrate: 1 Hz\ninputs: {x: {raw: int16, unit: mm, counts_per_unit: 7}}\noutputs:\n"+many(3000, "  o%d: {from: x, raw: int16, unit: mm}\n"))
	add("2000 live gains", "*", "controller: tray\nrate: 1 Hz\ninputs: {x: {raw: int16, unit: mm, counts_per_unit: 7}}\nsteps:\n"+many(1500, "  p%d: {kind: pid, target: 0, measured: x, kp: 1, limits: [0, 9], unit: mm}\n")+
		"outputs: {z: {from: p7, raw: int16, unit: mm}}\ntuning: {"+many(1500, "p%d.kp: [0, 2], ")+"}\n")
	add("3000 misspelt names", "*", "controller: tray\nrate: 1 Hz\ninputs:\n"+many(1500, "  input%d: {raw: int16, unit: mm, counts_per_unit: 7}\n")+"steps:\n"+many(1500, "  p%d: {kind: clamp, of: inptu, limits: [0, 1]}\n"))
	add("a ring of 2000 steps", "*", strings.Replace(chain(2000, "kind: sum, of: {$: -1}"), "{s0: -1}", "{s2000: -1}", 1))
	return out
}()
