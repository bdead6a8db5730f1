package campaign

import (
	"fmt"
	"strings"
)

// hostileSizes are specs of thousands of parts: each is checked in time, or refused with the limit that it breaks.
func hostileSizes() (out texts) {
	steps20 := ""
	for i := range 20 {
		steps20 += fmt.Sprintf("  s%d: {kind: sum, of: {%s}}\n", i, many(900, "inptu%d: 1,"))
	}
	chain := func(n int, step string) string {
		var b strings.Builder
		b.WriteString("controller: tray\nrate: 100 Hz\ninputs: {s0: {raw: int16, unit: mm, counts_per_unit: 10}}\nsteps:\n")
		for i := range n {
			fmt.Fprintf(&b, "  s%d: {%s}\n", i+1, strings.ReplaceAll(step, "$", fmt.Sprintf("s%d", i)))
		}
		fmt.Fprintf(&b, "outputs: {z: {from: s%d, raw: int16, unit: mm}}\n", n)
		return b.String()
	}
	for _, n := range []int{100, 400, 1000, 4000} { // at most 1024 are read
		out.add(fmt.Sprintf("%d sums", n), "*", chain(n, "kind: sum, of: {$: -1}"))
		out.add(fmt.Sprintf("%d factors", n), "*", chain(n, "kind: sum, of: {$: 0.7}, limits: [-9, 9]"))
		out.add(fmt.Sprintf("%d low-passes", n), "*", chain(n, "kind: low_pass, of: $, blend: 0.98"))
		out.add(fmt.Sprintf("%d controllers", n), "*", chain(n, "kind: pid, target: 0, measured: $, ki: 1, limits: [-9, 9]"))
		out.add(fmt.Sprintf("%d sections", n), "*", chain(n, "kind: second_order, of: $, response: notch, frequency: 1, q: 3"))
		out.add(fmt.Sprintf("%d slow sections", n), "*", chain(n, "kind: second_order, of: $, response: low_pass, frequency: 0.001, q: 3"))
	}
	for _, n := range []int{20, 60, 150, 1000} {
		out.add(fmt.Sprintf("formulas: %d squares", n), "*", chain(n, `kind: formula, value: "clamp($ * $ / 9 mm, -9, 9)"`))
		out.add(fmt.Sprintf("formulas: %d moves", n), "*", chain(n, `kind: formula, value: "move($, s0, abs($) / 60 mm)"`))
		out.add(fmt.Sprintf("formulas: %d quotients", n), "*", chain(n, `kind: formula, value: "9 mm * clamp($, 1, 9) / clamp(s0, 1, 9)"`))
		out.add(fmt.Sprintf("formulas: %d comparisons of products", n), "*", chain(n, `kind: formula, value: "if $ * s0 < 3 mm^2 then -$ else s0"`))
	}
	for name, value := range map[string]string{"a long sum": "s0" + strings.Repeat(" + s0", 150), "deep": strings.Repeat("(", 300) + "s0" + strings.Repeat(")", 300), "signs": strings.Repeat("-", 900) + "s0",
		"choices": strings.Repeat("if s0 < 1 then s0 else ", 40) + "s0", "powers": strings.Repeat("s0 * ", 60) + "s0", "large": "1e30 * 1e30 * 1e30 * s0", "small": "s0 / 1e30 / 1e30", "digits": "s0 * " + strings.Repeat("1.234567890123456789012345678901234567890 * ", 15) + "2"} {
		out.add("formulas: "+name, "*", chain(1, fmt.Sprintf("kind: formula, value: %q", value)))
	}
	out.add("formulas: many long ones", "too-large", parallelFormulas(900, strings.Repeat("s0 + ", 40)+"s0"))
	out.add("formulas: many that rise", "too-large", parallelFormulas(900, strings.Repeat("(s0 < 1) rises or ", 20)+"s0 > 2"))
	parallel := func(n int, target, step string) string {
		return "controller: tray\nrate: 100 Hz\ntarget: " + target + "\ninputs: {x: {raw: int16, unit: mm, counts_per_unit: 10}}\nsteps:\n" + many(n, "  s%[1]d: {"+step+"}\n") +
			"  last: {kind: sum, of: {" + many(n, "s%d: 0.01, ") + "}}\noutputs: {z: {from: last, raw: int16, unit: mm}}\n"
	}
	for _, n := range []int{10, 100, 1000} {
		sections := "*"
		if n == 1000 {
			sections = "too-large"
		}
		for _, target := range []string{"portable", "avr8"} {
			out.add(fmt.Sprintf("%d sections beside one another for %s", n, target), sections, parallel(n, target, "kind: second_order, of: x, response: low_pass, frequency: 1.%[1]d, q: 0.6"))
			out.add(fmt.Sprintf("%d slow sections beside one another for %s", n, target), sections, parallel(n, target, "kind: second_order, of: x, response: low_pass, frequency: 0.0001%[1]d, q: 0.6"))
			out.add(fmt.Sprintf("%d slow swinging sections beside one another for %s", n, target), "unbounded", parallel(n, target, "kind: second_order, of: x, response: notch, frequency: 0.02%[1]d, q: 900"))
			out.add(fmt.Sprintf("%d slow filters beside one another for %s", n, target), "*", parallel(n, target, "kind: low_pass, of: x, time_constant: 1%[1]d s"))
			out.add(fmt.Sprintf("%d controllers beside one another for %s", n, target), "*", parallel(n, target, "kind: pid, target: 0, measured: x, ki: 0.1%[1]d, limits: [-9, 9], unit: mm"))
		}
	}
	out.add("16 slow sections for avr8", "*", "target: avr8\n"+chain(16, "kind: second_order, of: $, response: notch, frequency: 0.0001, q: 3"))
	out.add("a sum of 1000 terms", "*", "controller: tray\nrate: 1 Hz\ninputs:\n"+many(1000, "  i%d: {raw: int16, unit: mm, counts_per_unit: 7}\n")+"steps: {y: {kind: sum, of: {"+many(1000, "i%d: 0.3, ")+"}}}\noutputs: {z: {from: y, raw: int16, unit: mm}}\n")
	out.add("3000 outputs", "too-many", "controller: tray\nrate: 1 Hz\ninputs: {x: {raw: int16, unit: mm, counts_per_unit: 7}}\noutputs:\n"+many(3000, "  o%d: {from: x, raw: int16, unit: mm}\n"))
	out.add("1000 outputs", "*", "controller: tray\nrate: 1 Hz\ninputs: {x: {raw: int16, unit: mm, counts_per_unit: 7}}\nsteps: {y: {kind: sum, of: {x: 1}}}\noutputs:\n"+many(1000, "  o%d: {from: y, raw: int16, unit: mm}\n"))
	out.add("1000 live gains", "*", "controller: tray\nrate: 1 Hz\ninputs: {x: {raw: int16, unit: mm, counts_per_unit: 7}}\nsteps:\n"+many(1000, "  p%d: {kind: pid, target: 0, measured: x, kp: 1, limits: [0, 9], unit: mm}\n")+
		"outputs: {z: {from: p7, raw: int16, unit: mm}}\ntuning: {"+many(1000, "p%d.kp: [0, 2], ")+"}\n")
	out.add("2000 misspelt names", "*", "controller: tray\nrate: 1 Hz\ninputs:\n"+many(1000, "  input%d: {raw: int16, unit: mm, counts_per_unit: 7}\n")+"steps:\n"+many(1000, "  p%d: {kind: clamp, of: inptu, limits: [0, 1]}\n"))
	out.add("20000 unknown names", "unknown-signal", "controller: tray\nrate: 1 Hz\ninputs:\n"+many(1000, "  input%d: {raw: bool}\n")+"steps:\n"+steps20+"outputs: {z: {from: s1, raw: int16, unit: mm}}\n")
	out.add("10000 unknown keys", "unknown-key", "controller: tray\nrate: 1 Hz\ninputs: {x: {raw: bool}}\nsteps: {s1: {kind: pid, "+many(10000, "ofk%d: 1,")+"}}\noutputs: {z: {from: s1, raw: int16, unit: mm}}\n")
	out.add("a ring of 1000 steps", "*", strings.Replace(chain(1000, "kind: sum, of: {$: -1}"), "{s0: -1}", "{s1000: -1}", 1))
	return out
}

// parallelFormulas are many steps with one formula.
func parallelFormulas(n int, value string) string {
	return "controller: tray\nrate: 100 Hz\ninputs: {s0: {raw: int16, unit: mm, counts_per_unit: 10}}\nsteps:\n" + many(n, "  f%d: {kind: formula, value: \""+value+"\"}\n") + "outputs: {z: {from: s0, raw: int16, unit: mm}}\n"
}
