package campaign

import (
	"fmt"
	"strings"
)

// hostileNumbers are numbers of every size and form, where they decide how long something takes or whether it fits.
func hostileNumbers() (out texts) {
	for _, n := range []string{"1e-999999", "1e999999", "0x1p99999", "1e-31", "1e31", "nan", ".nan", ".inf", "-.inf", "0x10", "1_000", "1,5", "1/3", "0b1", "'" + strings.Repeat("9", 1000) + "'", strings.Repeat("9", 41), "0." + strings.Repeat("0", 200) + "1", "1e", "--1", "+-1", "''", "~", "[1]", "{a: 1}", "1e+-3", "٣"} {
		out.with("counts_per_unit "+n[:min(len(n), 20)], "*", controller{counts: n})
		out.with("rate "+n[:min(len(n), 20)], "*", controller{rate: n + " Hz"})
		out.with("a limit "+n[:min(len(n), 20)], "*", controller{more: "kind: clamp, of: x, limits: [0, " + n + "]"})
		out.with("a factor "+n[:min(len(n), 20)], "*", controller{more: "kind: sum, of: {x: " + n + "}"})
		out.with("a time "+n[:min(len(n), 20)], "*", controller{more: "kind: low_pass, of: x, time_constant: " + n + " s"})
	}
	for _, n := range []string{"1e-30", "9e30", "-1e-30", "-9e30", "1e-15", "1e15", "0.3333333333333333333333333333333333333333"} {
		out.with("small and large counts "+n, "*", controller{counts: n})
		out.with("small and large factor "+n, "*", controller{more: "kind: sum, of: {x: " + n + "}"})
		out.with("small and large offset "+n, "*", controller{more: "kind: sum, of: {x: 1}, offset: " + n})
		out.with("small and large limit "+n, "*", controller{more: "kind: clamp, of: x, limits: [-10000000000000000000000000000000, " + n + "]"})
		out.with("small and large time "+n, "*", controller{more: "kind: low_pass, of: x, time_constant: " + n})
		out.with("small and large cutoff "+n, "*", controller{more: "kind: low_pass, of: x, cutoff: " + n})
		for _, key := range []string{"kp", "ki", "kd"} {
			out.with("small and large "+key+" "+n, "*", controller{more: "kind: pid, target: 0, measured: x, " + key + ": " + n + ", limits: [-9e30, 9e30]"})
			out.with("live "+key+" "+n, "*", controller{more: "kind: pid, target: 0, measured: x, " + key + ": " + n + ", limits: [-100, 100]", rest: "tuning: {y." + key + ": [-9e30, 9e30]}\n"})
		}
		out.with("small and large accuracy "+n, "*", controller{rest: "accuracy: {z: " + n + " count, y: " + n + " mm}\n"})
		out.with("small and large section "+n, "*", controller{more: "kind: second_order, of: x, b: [" + n + ", 1, 1], a: [0, 0]"})
		out.with("small and large frequency "+n, "*", controller{more: "kind: second_order, of: x, response: notch, frequency: " + n + ", q: 1"})
	}
	for _, r := range []string{"1e-30 Hz", "1e30 Hz", "1000 kHz", "3600 s", "1 us", "0.001 us", "1e-30 s", "0 Hz", "-1 Hz", "0.0002777777777777777777777777777777777778 Hz", "999999.9999999999999999999999999999 Hz"} {
		out.with("rate "+r, "*", controller{rate: r})
		out.with("rate of a pid "+r, "*", controller{rate: r, more: "kind: pid, target: 0, measured: x, kp: 1, ki: 1, kd: 1, derivative_filter: 3 ticks, limits: [-100, 100]"})
	}
	for _, blend := range []string{"0.9999", "0.999999", "0.99999999", "0.9999999999", "0.999999999999999999999999999999"} {
		out.with("a blend of "+blend, "*", controller{more: "kind: low_pass, of: x, blend: " + blend})
	}
	for _, average := range []string{"1 ticks", "32768 ticks", "32769 ticks", "1000000 ticks", "1e30 ticks", "0.5 ticks"} {
		out.with("an average of "+average, "*", controller{more: "kind: bias_at_rest, of: x, limit: 1e3, average: " + average})
	}
	for _, f := range []string{"49.999999", "1", "0.01", "0.001", "0.0001", "0.00001", "1e-6", "1e-9", "1e-20"} {
		for _, q := range []string{"0.05", "0.7", "30", "1000"} {
			for _, r := range []string{"low_pass", "notch", "peaking, gain_db: 60", "band_pass, structure: transposed", "high_pass, structure: feedback_2"} {
				out.with(fmt.Sprintf("%s at %s, q %s", r, f, q), "*", controller{more: "kind: second_order, of: x, response: " + r + ", frequency: " + f + ", q: " + q})
			}
		}
	}
	for _, a := range []string{"-1.9999999999, 0.99999999990001", "-2, 1", "0, 0.999999999999", "1.99999, 0.99999", "0, -0.9999999", "-1.999999, 0.9999990001", "1e-30, -1e-30"} {
		out.with("poles "+a, "*", controller{more: "kind: second_order, of: x, b: [1, 0, 0], a: [" + a + "]"})
	}

	return out
}
