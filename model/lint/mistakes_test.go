package lint_test

import (
	"strings"
	"testing"

	"gainwright/model"
	"gainwright/model/tier"
)

// bench is a good spec that most kinds of step stand in. Portable code has no table of costs, and so no search of formats that takes time.
const bench = `controller: bench
about: A cart on the test bench.
rate: 200 Hz
target: portable

inputs:
  gyro: {raw: int16, unit: deg/s, counts_per_unit: 131, range: [-240, 240]}
  fore: {raw: int16, unit: g, counts_per_unit: 16384, range: [-1.9, 1.9]}
  up: {raw: int16, unit: g, counts_per_unit: 16384, range: [-1.9, 1.9]}
  wheel: {raw: int16, unit: cm, counts_per_unit: 20, range: [-1000, 1000]}
  north: {raw: int16, unit: deg, counts_per_unit: 100, range: [-180, 180]}
  armed: {raw: bool}

steps:
  rate: {kind: bias_at_rest, of: gyro, limit: 25 deg/s, average: 256 ticks}
  lean: {kind: angle, of: [fore, up], least_length: 0.3 g, limits: [-90, 90]}
  tilt: {kind: complementary, angle: lean, rate: rate, blend: 0.98}
  upright: {kind: window, of: tilt, limits: [-35, 35], release: [-8, 8], when: armed}
  smooth: {kind: low_pass, of: wheel, cutoff: 5 Hz}
  quiet: {kind: second_order, of: smooth, response: notch, frequency: 38 Hz, q: 1.2}
  place: {kind: hold, of: quiet, when: upright rises}
  balance: {kind: pid, target: place, measured: quiet, kp: 0.06, kd: 0.2, derivative_filter: 50 ms, unit: deg, limits: [-8, 8]}
  effort: {kind: pid, target: balance, measured: tilt, measured_rate: rate, enable: upright, kp: 41, ki: 650, kd: 1.5, limits: [-255, 255]}
  course: {kind: integrate, of: rate, around: circle, reset: not armed}
  turn: {kind: pid, target: north, measured: course, measured_rate: rate, around: circle, enable: armed, unit: duty, kp: 3, ki: 0.4, limits: [-120, 120], integral_limits: [-8, 8]}
  left: {kind: sum, of: {effort: 1, turn: -1}, limits: [-255, 255]}

outputs:
  drive: {from: left, raw: int16, unit: duty, limits: [-255, 255], least_effort: 18}

tuning: {effort.kp: [0, 60], effort.ki: [0, 2000]}
accuracy: {tilt: 0.05 deg}
`

// mistakes are put into bench in place of a part of it. Where the remedy is in words, said is a part of it and edit is what a person does who
// reads it, "from => to", several behind ;; else the remedy itself is written where the finding points.
var mistakes = []struct{ from, to, said, edit string }{
	{"kind: low_pass, of: wheel, cutoff: 5 Hz", "kind: ramp, of: wheel, rate: 5 cm/s", "", ""},
	{"kind: low_pass, of: wheel, cutoff: 5 Hz", "kind: slew, of: wheel, rate: 5 cm/s", "", ""},
	{"kind: low_pass, of: wheel, cutoff: 5 Hz", "kind: rate_limit, of: wheel, rate: 5 cm/s", "", ""},
	{"kind: low_pass, of: wheel, cutoff: 5 Hz", "kind: dead_band, of: wheel, band: 5 cm", "least_effort at an output", "of: smooth, response => of: wheel, response ;; \n  smooth: {kind: dead_band, of: wheel, band: 5 cm} => "},
	{"kind: low_pass, of: wheel, cutoff: 5 Hz", "kind: deadband, of: wheel, band: 5", "least_effort at an output", "of: smooth, response => of: wheel, response ;; \n  smooth: {kind: deadband, of: wheel, band: 5} => "},
	{"kind: low_pass, of: wheel, cutoff: 5 Hz", "kind: deadzone, of: wheel", "the step left out", "of: smooth, response => of: wheel, response ;; \n  smooth: {kind: deadzone, of: wheel} => "},
	{"kind: low_pass, of: wheel, cutoff: 5 Hz", "kind: median, of: wheel", "", ""},
	{"kind: low_pass, of: wheel, cutoff: 5 Hz", "kind: derivative, of: wheel", "pid, with target: 0, kd: -1", "kind: derivative, of: wheel => kind: pid, target: 0, measured: wheel, kd: -1, derivative_filter: 50 ms, unit: cm"},
	{"kind: low_pass, of: wheel, cutoff: 5 Hz", "kind: table, of: wheel", "", ""},
	{"kind: low_pass, of: wheel, cutoff: 5 Hz", "kind: lookup, of: wheel", "", ""},
	{"kind: low_pass, of: wheel, cutoff: 5 Hz", "kind: multiply, of: [wheel, gyro]", "formula, with value: \"a * b\"", "kind: multiply, of: [wheel, gyro] => kind: formula, value: wheel * 0.5"},
	{"kind: low_pass, of: wheel, cutoff: 5 Hz", "kind: abs, of: wheel", "formula, with value: \"abs(a)\"", "kind: abs, of: wheel => kind: formula, value: abs(wheel)"},
	{"kind: low_pass, of: wheel, cutoff: 5 Hz", "kind: kalman, of: wheel", "complementary", "kind: kalman, of: wheel => kind: complementary, angle: lean, rate: rate, blend: 0.9 ;; of: smooth, response => of: wheel, response"},
	{"kind: low_pass, of: wheel, cutoff: 5 Hz", "kind: moving_average, of: wheel, time_constant: 50 ms", "", ""},
	{"kind: low_pass, of: wheel, cutoff: 5 Hz", "kind: LowPass, of: wheel, cutoff: 5 Hz", "", ""},
	{"kind: low_pass, of: wheel, cutoff: 5 Hz", "kind: low-pass, of: wheel, cutoff: 5 Hz", "", ""},
	{"kind: low_pass, of: wheel, cutoff: 5 Hz", "kind: Low Pass, of: wheel, cutoff: 5 Hz", "", ""},
	{"kind: low_pass, of: wheel, cutoff: 5 Hz", "kind: lowpass, of: wheel, cutoff: 5 Hz", "", ""},
	{"kind: low_pass, of: wheel, cutoff: 5 Hz", "kind: ema, of: wheel, alpha: 0.9", "", ""},
	{"kind: low_pass, of: wheel, cutoff: 5 Hz", "kind: high_pass, of: wheel, cutoff: 5 Hz", "second_order, with response: high_pass, frequency and q", "kind: high_pass, of: wheel, cutoff: 5 Hz => kind: second_order, of: wheel, response: high_pass, frequency: 5 Hz, q: 0.7"},
	{"kind: low_pass, of: wheel, cutoff: 5 Hz", "kind: low_pass, of: wheel, cutoff: 150 Hz", "", ""},
	{"kind: low_pass, of: wheel, cutoff: 5 Hz", "kind: low_pass, of: wheel, cutoff: 5 rad/s", "", ""},
	{"kind: low_pass, of: wheel, cutoff: 5 Hz", "kind: low_pass, of: wheel, time_constant: 1 ms", "", ""},
	{"kind: low_pass, of: wheel, cutoff: 5 Hz", "kind: low_pass, of: wheel", "", ""},
	{"kind: low_pass, of: wheel, cutoff: 5 Hz", "kind: low_pass, of: wheel, fc: 5 Hz", "", ""},
	{"kind: low_pass, of: wheel, cutoff: 5 Hz", "kind: low_pass, of: wheel, alpha: 0.02", "", ""},
	{"kind: low_pass, of: wheel, cutoff: 5 Hz", "kind: low_pass, of: wheel, frequency: 5 Hz", "", ""},
	{"kind: low_pass, of: wheel, cutoff: 5 Hz", "kind: low_pass, of: wheel, order: 2, cutoff: 5 Hz", "", ""},
	{"kind: low_pass, of: wheel, cutoff: 5 Hz", "kind: low_pass, input: wheel, cutoff: 5 Hz", "", ""},
	{"kind: low_pass, of: wheel, cutoff: 5 Hz", "kind: low_pass, of: [wheel], cutoff: 5 Hz", "", ""},
	{"kind: low_pass, of: wheel, cutoff: 5 Hz", "kind: low_pass, of: wheel, cutoff: 5 Hz, unit: cm", "", ""},
	{"kind: low_pass, of: wheel, cutoff: 5 Hz", "kind low_pass, of: wheel, cutoff: 5 Hz", "", ""},
	{"kind: low_pass, of: wheel, cutoff: 5 Hz", "kind:low_pass, of: wheel, cutoff: 5 Hz", "", ""},
	{"kind: low_pass, of: wheel, cutoff: 5 Hz", "kind = low_pass, of: wheel, cutoff: 5 Hz", "", ""},
	{"kind: low_pass, of: wheel, cutoff: 5 Hz", "Kind: low_pass, of: wheel, cutoff: 5 Hz", "", ""},
	{"kind: low_pass, of: wheel, cutoff: 5 Hz", "type: low_pass, of: wheel, cutoff: 5 Hz", "", ""},
	{"kind: low_pass, of: wheel, cutoff: 5 Hz", "low_pass, of: wheel, cutoff: 5 Hz", "", ""},
	{"kind: low_pass, of: wheel, cutoff: 5 Hz", "kind: low_pass, of: Wheel, cutoff: 5 Hz", "", ""},
	{"kind: low_pass, of: wheel, cutoff: 5 Hz", "kind: low_pass; of: wheel; cutoff: 5 Hz", "a comma between neighbours, in place of each ;", "; => ,"},
	{"smooth: {kind: low_pass,", "smooth {kind: low_pass,", "smooth: {", "smooth { => smooth: {"},
	{"smooth: {kind: low_pass,", "smooth:{kind: low_pass,", "smooth: {", "smooth:{ => smooth: {"},
	{"smooth: {kind: low_pass,", "Smooth: {kind: low_pass,", "", ""},
	{"smooth: {kind: low_pass,", "smooth-out: {kind: low_pass,", "", ""},
	{"kp: 41", "kp: -41", "", ""},
	{"ki: 650", "ki: -140", "", ""},
	{"kd: 1.5", "kd: -0.8", "", ""},
	{"kp: 41", "KP: 21", "", ""},
	{"kp: 41", "Kp: 21", "", ""},
	{"kp: 41", "kp = 21", "", ""},
	{"kp: 41", "kp: 41,5", "", ""},
	{"kp: 41", "kp: 41 duty per deg", "", ""},
	{"kp: 41", "p: 21", "", ""},
	{"kp: 41", "kp: 41 %", "the value in duty/deg", "41 % => 41 duty/deg"},
	{"kp: 41", "kp: 41%", "the value in duty/deg", "41% => 41 duty/deg"},
	{"kp: 41", "kp: 2349.127 duty/rad", "", ""},
	{"kp: 0.06", "kp: 0.006 deg/mm", "", ""},
	{"ki: 650", "ki: 39000 duty/deg/min", "", ""},
	{"limit: 25 deg/s", "limit: 0.436 rad/s", "", ""},
	{"limit: 25 deg/s", "limit: 4.17 rpm", "", ""},
	{"{tilt: 0.05 deg}", "{tilt: 0.0009 rad}", "", ""},
	{"range: [-1000, 1000]", "range: [-10 m, 10 m]", "", ""},
	{"limits: [-35, 35]", "limits: [-0.611 rad, 0.611 rad]", "", ""},
	{"kp: 3, ki: 0.4", "kp: 3, ti: 7.5 s", "", ""},
	{"kp: 0.06, kd: 0.2", "kp: 0.06, td: 3.3 s", "", ""},
	{"kp: 41, ki: 650, kd: 1.5", "gain: 41, ti: 0.15 s", "", ""},
	{"kp: 41", "gain: 21, kp: 41", "", ""},
	{"kp: 41", "gain: 21, kp: 41, ti: 0.2 s", "", ""},
	{"kind: pid, target: balance", "kind: PID, target: balance", "", ""},
	{"kind: pid, target: balance", "kind: Pid, target: balance", "", ""},
	{"kind: pid, target: balance", "kind: pi, target: balance", "", ""},
	{"kind: pid, target: balance", "kind: pid, setpoint: balance", "", ""},
	{"kind: pid, target: balance", "kind: pid, target: 0 deg/s", "the value in deg", "target: 0 deg/s => target: 0 deg"},
	{"kind: pid, target: balance", "kind: pid, target: wheel", "", ""},
	{"kind: pid, target: balance", "kind: pid, target: gyro", "", ""},
	{"kind: pid, target: balance", "kind: pid, target: effort", "name an input, or a step that does not need this one", "target: effort => target: balance"},
	{"kind: pid, target: balance", "kind: pid", "", ""},
	{"measured_rate: rate, enable: upright", "measured_rate: gyro, enable: tilt", "", ""},
	{"enable: upright", "enable: true", "", ""},
	{"enable: upright", "enable: !upright", "", ""},
	{"kd: 1.5, limits: [-255, 255]", "kd: 1.5, limits: 255", "", ""},
	{"kd: 1.5, limits: [-255, 255]", "kd: 1.5, limits: [255]", "", ""},
	{"kd: 1.5, limits: [-255, 255]", "kd: 1.5, limits: [-255 255]", "", ""},
	{"kd: 1.5, limits: [-255, 255]", "kd: 1.5, limits: -255..255", "", ""},
	{"kd: 1.5, limits: [-255, 255]", "kd: 1.5, min: -255, max: 255", "", ""},
	{"kd: 1.5, limits: [-255, 255]", "kd: 1.5, limits: [-255, 255], integral_limits: [-400, 400]", "", ""},
	{"kd: 1.5, limits: [-255, 255]", "kd: 1.5, limits: [-100 %, 100 %]", "the value in duty", "-100 %, 100 % => -255, 255"},
	{"kd: 1.5, limits: [-255, 255]", "kd: 1.5, limits: [255, -255]", "", ""},
	{"kd: 1.5, limits: [-255, 255]", "kd: 1.5, derivative_filter: 20 ms, limits: [-255, 255]", "", ""},
	{"kd: 1.5, limits: [-255, 255]", "kd: 1.5, tracking_time: 1 ms, limits: [-255, 255]", "", ""},
	{"kd: 1.5, limits: [-255, 255]", "kd: 1.5, anti_windup: true, limits: [-255, 255]", "", ""},
	{"kd: 1.5, limits: [-255, 255]", "kd: 1.5, start: 300, limits: [-255, 255]", "", ""},
	{"counts_per_unit: 131", "counts_per_unit: 1/131", "", ""},
	{"counts_per_unit: 131", "scale: 131", "", ""},
	{"counts_per_unit: 131", "lsb: 0.00763", "", ""},
	{"counts_per_unit: 131", "sensitivity: 131", "", ""},
	{"counts_per_unit: 131", "resolution: 0.00763", "", ""},
	{"raw: int16, unit: deg/s", "unit: deg/s", "", ""},
	{"raw: int16, unit: deg/s", "raw: short, unit: deg/s", "", ""},
	{"raw: int16, unit: deg/s", "raw: int16_t, unit: deg/s", "", ""},
	{"raw: int16, unit: deg/s", "raw: float, unit: deg/s", "", ""},
	{"raw: int16, unit: deg/s", "type: int16, unit: deg/s", "", ""},
	{"raw: int16, unit: deg/s", "raw: int16, unit: \u00b0/s", "", ""},
	{"raw: int16, unit: deg/s", "raw: int16, unit: deg per s", "", ""},
	{"raw: int16, unit: deg/s", "raw: int16", "", ""},
	{"range: [-240, 240]", "range: [-500, 500]", "", ""},
	{"range: [-240, 240]", "range: 240", "", ""},
	{"range: [-240, 240]", "limits: [-240, 240]", "", ""},
	{"  armed: {raw: bool}", "  armed: bool", "", ""},
	{"  armed: {raw: bool}", "  armed: {raw: boolean}", "", ""},
	{"  armed: {raw: bool}", "  armed: {raw: bool}\n  spare: {raw: int16, unit: V, counts_per_unit: 100}", "take it out", "\n  spare: {raw: int16, unit: V, counts_per_unit: 100} => "},
	{"  armed: {raw: bool}", "  armed: {raw: bool}\n  spare: {raw: bool}", "take it out", "\n  spare: {raw: bool} => "},
	{"rate: 200 Hz", "rate: 200", "", ""},
	{"rate: 200 Hz", "rate: 200Hz", "", ""},
	{"rate: 200 Hz", "rate: 200 hz", "", ""},
	{"rate: 200 Hz", "sample_rate: 200 Hz", "", ""},
	{"rate: 200 Hz", "period: 5 ms", "", ""},
	{"target: portable", "target: avr", "", ""},
	{"target: portable", "target: atmega328p", "", ""},
	{"target: portable", "target: stm32", "", ""},
	{"target: portable", "mcu: avr8", "", ""},
	{"controller: bench", "controller: Bench", "", ""},
	{"controller: bench", "controller: my bench", "", ""},
	{"controller: bench", "name: bench", "", ""},
	{"inputs:", "input:", "", ""},
	{"outputs:", "output:", "", ""},
	{"tuning: {", "tune: {", "", ""},
	{"tuning: {effort.kp", "tuning: {kp", "", ""},
	{"tuning: {effort.kp: [0, 60]", "tuning: {effort.kp: 60", "", ""},
	{"tuning: {effort.kp: [0, 60]", "tuning: {effort.kd: [2, 3]", "", ""},
	{"tuning: {effort.kp: [0, 60]", "tuning: {turn.kd: [0, 2]", "", ""},
	{"tuning: {effort.kp: [0, 60]", "tuning: {effort: {kp: [0, 60]}", "", ""},
	{"tuning: {effort.kp: [0, 60]", "tuning: {smooth.cutoff: [1, 10]", "", ""},
	{"accuracy: {tilt: 0.05 deg}", "accuracy: {tilt: 0.05}", "", ""},
	{"accuracy: {tilt: 0.05 deg}", "accuracy: {tilt: 1 count}", "the error in deg", "1 count => 0.05 deg"},
	{"accuracy: {tilt: 0.05 deg}", "accuracy: {lean: 0.05 deg, effort: 0.1}", "", ""},
	{"accuracy: {tilt: 0.05 deg}", "formats: {tilt: q8.7}", "", ""},
	{"accuracy: {tilt: 0.05 deg}", "formats: {tilt: 8.7}", "", ""},
	{"accuracy: {tilt: 0.05 deg}", "formats: {tilt: int16}", "", ""},
	{"accuracy: {tilt: 0.05 deg}", "formats: {tilt: Q8}", "", ""},
	{"from: left, raw: int16", "from: left, raw: uint8", "", ""},
	{"from: left, raw: int16", "from: left, raw: int8", "", ""},
	{"from: left, raw: int16", "from: lift, raw: int16", "", ""},
	{"from: left, raw: int16", "from: upright, raw: int16", "", ""},
	{"from: left, raw: int16", "raw: int16", "", ""},
	{"from: left, raw: int16", "of: left, raw: int16", "", ""},
	{"unit: duty, limits: [-255, 255], least", "unit: percent, limits: [-255, 255], least", "unit: percent, that of the output drive, beside of", "turn: -1}, => turn: -1}, unit: percent,"},
	{"unit: duty, limits: [-255, 255], least", "limits: [-255, 255], least", "", ""},
	{"unit: duty, limits: [-255, 255], least", "unit: duty, min: -255, max: 255, least", "", ""},
	{"least_effort: 18", "dead_band: 18", "", ""},
	{"least_effort: 18", "deadband: 18", "", ""},
	{"least_effort: 18", "least_effort: -18", "", ""},
	{"least_effort: 18", "least_effort: 300", "a number from 0 to 255", "least_effort: 300 => least_effort: 20"},
	{"least_effort: 18", "least_effort: 18, invert: true", "", ""},
	{"least_effort: 18", "least_effort: 18, slew: 10 duty/s", "", ""},
	{"blend: 0.98", "blend: 0.98, time_constant: 0.5 s", "", ""},
	{"blend: 0.98", "blend: 1.02", "", ""},
	{"blend: 0.98", "blend: 98 %", "", ""},
	{"blend: 0.98", "alpha: 0.98", "", ""},
	{"angle: lean, rate: rate", "angle: rate, rate: lean", "the two names exchanged: angle: lean, rate: rate", "angle: rate, rate: lean => angle: lean, rate: rate"},
	{"angle: lean, rate: rate", "accel: lean, gyro: rate", "", ""},
	{"of: [fore, up]", "of: [fore]", "of: [sine side, cosine side]", "[fore] => [fore, up]"},
	{"of: [fore, up]", "of: fore, up", "", ""},
	{"of: [fore, up]", "y: fore, x: up", "", ""},
	{"of: [fore, up]", "of: [fore, gyro]", "fore or up", "[fore, gyro] => [fore, up]"},
	{"around: circle, enable: armed", "enable: armed", "", ""},
	{"kind: integrate, of: rate, around: circle", "kind: integrate, of: rate", "", ""},
	{"kind: integrate, of: rate, around: circle", "kind: integrate, of: rate, wrap: true", "", ""},
	{"response: notch, frequency: 38 Hz", "response: notch, frequency: 138 Hz", "", ""},
	{"response: notch, frequency: 38 Hz", "type: notch, frequency: 38 Hz", "", ""},
	{"response: notch, frequency: 38 Hz", "response: Notch, frequency: 38 Hz", "", ""},
	{"response: notch, frequency: 38 Hz", "response: bandstop, frequency: 38 Hz", "", ""},
	{"response: notch, frequency: 38 Hz", "response: notch, f0: 38 Hz", "", ""},
	{"response: notch, frequency: 38 Hz", "response: notch, frequency: 38 Hz, bandwidth: 5 Hz", "", ""},
	{"q: 1.2}", "quality: 1.2}", "", ""},
	{"q: 1.2}", "Q: 1.2}", "", ""},
	{"q: 1.2}", "q: 0}", "", ""},
	{"of: {effort: 1, turn: -1}", "of: [effort, turn]", "", ""},
	{"of: {effort: 1, turn: -1}", "of: effort - turn", "", ""},
	{"of: {effort: 1, turn: -1}", "of: {effort: 1, tilt: -1}", "beside of, if the factors lead to it", "tilt: -1}, => tilt: -1}, unit: duty,"},
	{"of: {effort: 1, turn: -1}", "of: {effort, -turn}", "", ""},
	{"rate: 200 Hz", "rate: Hz", "a number before it, and a space between", "rate: Hz => rate: 200 Hz"},
	{"rate: 200 Hz", "rate: 12000 rpm", "the value in Hz, or the length of a tick in s", "12000 rpm => 200 Hz"},
	{"rate: 200 Hz", "rate: 0.1 min", "", ""},
	{"limit: 25 deg/s", "limit: deg/s", "a number before it, and a space between", "limit: deg/s => limit: 25 deg/s"},
	{"of: wheel, cutoff", "of: smoth, cutoff", "the name of an input or step", "smoth => wheel"},
	{"[0, 60]", "[0, 600000]", "below tuning, a range that ends near", "[0, 600000] => [0, 3000]"},
	{"turn: -1}, limits", "turn: -1}, offset: 20, limits", "from: the name of a step {kind: pid, target: 0, measured: left, kp: -1, enable: upright}",
		"outputs: => \n  gate: {kind: pid, target: 0, measured: left, kp: -1, enable: upright}\noutputs: ;; from: left => from: gate ;; kd: 1.5, => kd: 1.5, unit: duty,"},
	{"around: circle, enable: armed", "around: circle", "enable: upright, at the step turn", "rate: rate, around: circle => rate: rate, enable: upright, around: circle"},
	{"release: [-8, 8]", "release: [-40, 40]", "", ""},
	{"release: [-8, 8]", "hysteresis: 5 deg", "", ""},
	{"when: armed}", "enable: armed}", "", ""},
	{"when: upright rises", "when: tilt rises", "", ""},
	{"when: upright rises", "when: rising upright", "", ""},
	{"limit: 25 deg/s", "limits: [-25, 25]", "", ""},
	{"average: 256 ticks", "average: 256", "", ""},
	{"least_length: 0.3 g", "least_length: 0", "", ""},
	{"unit: deg, limits: [-8, 8]", "unit: duty, limits: [-8, 8]", "", ""},
	{"derivative_filter: 50 ms", "derivative_filter: 5 Hz", "", ""},
	{"derivative_filter: 50 ms", "filter: 50 ms", "", ""},
	{"derivative_filter: 50 ms", "derivative_filter: 0", "", ""},
	{"derivative_filter: 50 ms", "n: 10", "", ""},
	{"integral_limits: [-8, 8]", "integral_limits: [-200, 200]", "", ""},
	{"integral_limits: [-8, 8]", "i_limit: 8", "", ""},
	{"unit: deg, counts_per_unit: 100, range: [-180, 180]", "unit: deg, counts_per_unit: 182.044444444, range: [-179, 179]", "", ""},
}

// rounds is how many findings, one after the other, may lead from a mistake to a good spec.
const rounds = 4

// TestFirstHintLeadsToAGoodSpec follows the first finding of each mistake, and of what comes of that, until nothing is wrong any more.
func TestFirstHintLeadsToAGoodSpec(t *testing.T) {
	if u := model.Compile("bench.yaml", []byte(bench)); !u.OK() || len(u.Findings) > 0 {
		t.Fatal(u.Findings)
	}
	wrong := 0
	for i := 0; i < len(mistakes); i += tier.Count(4, 1, 1) {
		m := mistakes[i]
		if !strings.Contains(bench, m.from) {
			t.Fatalf("%q stands nowhere", m.from)
		}
		src := strings.Replace(bench, m.from, m.to, 1)
		seen, trail, good := map[string]bool{}, "", false
		for range rounds {
			u := model.Compile("bench.yaml", []byte(src))
			first := -1
			for i, f := range u.Findings {
				if first < 0 && (!u.OK() || len(seen) == 0 || seen[f.Rule]) {
					first = i
				}
			}
			if good = first < 0; good {
				break
			}
			f := u.Findings[first]
			seen[f.Rule] = true
			trail += f.String() + "\n"
			if m.edit == "" {
				src = applied(src, f)
				continue
			}
			if !strings.Contains(f.Remedy, m.said) {
				break
			}
			for edit := range strings.SplitSeq(m.edit, " ;; ") {
				from, to, _ := strings.Cut(edit, " => ")
				if !strings.Contains(src, from) {
					t.Fatalf("%q stands nowhere in %s", from, src)
				}
				src = strings.ReplaceAll(src, from, to)
			}
		}
		if !good || trail == "" {
			wrong++
			t.Errorf("%s in place of %s:\n%s", m.to, m.from, trail)
		}
	}
	t.Logf("%d of %d mistakes are not led to a good spec", wrong, len(mistakes))
	if len(mistakes) < 100 {
		t.Errorf("only %d mistakes", len(mistakes))
	}
}
