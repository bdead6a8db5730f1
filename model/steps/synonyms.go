package steps

import (
	"fmt"
	"slices"
	"strings"

	"gainwright/model/spec"
)

// otherKinds are names that practitioners have for kinds of step, and the kind that does it here.
var otherKinds = map[string]string{
	"p": "pid", "pi": "pid", "pd": "pid", "regulator": "pid", "controller": "pid",
	"pid_controller": "pid", "lpf": "low_pass", "ema": "low_pass", "exponential": "low_pass", "smoothing": "low_pass", "pt1": "low_pass", "rc": "low_pass", "filter": "low_pass", "lag": "low_pass", "smooth": "low_pass", "first_order": "low_pass",
	"biquad": "second_order", "notch": "second_order", "high_pass": "second_order", "band_pass": "second_order", "peaking": "second_order", "bandstop": "second_order", "band_stop": "second_order",
	"limit": "clamp", "limiter": "clamp", "saturate": "clamp", "saturation": "clamp",
	"add": "sum", "subtract": "sum", "mix": "sum", "mixer": "sum", "gain": "sum", "scale": "sum", "offset": "sum", "feed_forward": "sum", "feedforward": "sum",
	"latch": "hold", "sample": "hold", "comparator": "window", "hysteresis": "window", "threshold": "window",
	"kalman": "complementary", "fusion": "complementary", "deg": "angle", "atan": "angle",
	"sanity": "plausible", "sanity_check": "plausible", "plausibility": "plausible", "range_check": "plausible", "rate_check": "plausible", "watch": "plausible", "validate": "plausible", "check": "plausible",
	"integrator": "integrate", "atan2": "angle", "arctangent": "angle", "unwrap": "wrap", "bias": "bias_at_rest",
	"average": "moving_average", "mean": "moving_average", "boxcar": "moving_average", "running_mean": "moving_average", "rolling_average": "moving_average", "sma": "moving_average", "dead_time": "delay", "transport_delay": "delay", "lag_ticks": "delay", "median_filter": "median",
	"lookup": "table", "look_up": "table", "lookup_table": "table", "lut": "table", "curve": "table", "map": "table", "interpolate": "table", "interpolation": "table", "linearize": "table", "linearise": "table", "piecewise": "table", "characteristic": "table",
}

// formulas are names of jobs that a formula does, and how.
var formulas = map[string]string{"sqrt": "sqrt(a)", "square_root": "sqrt(a)", "root": "sqrt(a)", "multiply": "a * b", "product": "a * b", "divide": "a / b", "quotient": "a / b", "ratio": "a / b", "absolute": "abs(a)", "abs": "abs(a)", "square": "a * a",
	"minimum": "min(a, b)", "maximum": "max(a, b)", "min": "min(a, b)", "max": "max(a, b)", "sign": "if a < 0 then -1 else 1", "polynomial": "a * a + 2 * a + 1", "expression": "2 * a + 1",
	"expr": "2 * a + 1", "math": "2 * a + 1", "equation": "2 * a + 1", "calc": "2 * a + 1", "compute": "2 * a + 1", "logic": "a and not b", "and": "a and b", "or": "a or b", "not": "not a",
	"switch": "if c then a else b", "select": "if c then a else b", "mux": "if c then a else b", "choose": "if c then a else b", "if": "if c then a else b", "compare": "a < b"}

// noKinds are jobs that no kind of step does yet, and what there is to build from.
var noKinds = []struct {
	names []string
	what  string // no kind ... yet
	meant string // what to write
}{
	{[]string{"ramp", "slew", "slew_rate", "slew_limit", "slew_limiter", "rate_limit", "rate_limiter", "ratelimit"}, "limits a rate",
		"low_pass, with a time_constant, which smooths a jump; or the step left out"},
	{[]string{"dead_band", "deadband", "dead_zone", "deadzone"}, "makes a dead band",
		"formula, with value: \"x - clamp(x, -1, 1)\"; or the step left out, since least_effort at an output carries a motor over its own"},
	{[]string{"fir"}, "weighs several samples", "moving_average, with over: 8 ticks; or low_pass, with a time_constant"},
	{[]string{"thermistor", "ntc"}, "knows a sensor's formula", "table, with points: [[x, y], ...] and unit, from the sensor's data sheet"},
	{[]string{"derivative", "differentiate", "differentiator", "derive", "rate_of_change"}, "takes a rate alone",
		"pid, with target: 0, kd: -1, derivative_filter and unit, whose effort is the rate of what it measures"},
	{[]string{"relay", "bang_bang", "thermostat", "state_machine", "mode"}, "keeps a mode", "window, with release, for a switch that comes on at one level and goes off at another"},
	{[]string{"timer", "counter", "debounce", "pulse"}, "counts or times", "the step left out, and the switch as an input from where it is timed"},
	{[]string{"state_feedback", "lqr", "state_space"}, "takes a vector of states", "sum, of: {state: -gain, another: -gain}"},
}

// NoKind says of a job that people have a name for that no kind of step does it yet (limits a rate, say), and what there is to write instead.
func NoKind(name string) (lacks, instead string, ok bool) {
	for _, n := range noKinds {
		if slices.Contains(n.names, spec.Plain(name)) {
			return n.what, n.meant, true
		}
	}
	return "", "", false
}

// otherKeys are names that practitioners have for keys, and the keys that are meant, the likeliest first.
var otherKeys = map[string][]string{
	"setpoint": {"target"}, "set_point": {"target"}, "reference": {"target"}, "ref": {"target"}, "sp": {"target"}, "wanted": {"target"},
	"input": {"of", "measured"}, "in": {"of", "measured"}, "source": {"of", "measured"}, "signal": {"of", "measured"}, "from": {"of", "measured"}, "x": {"of", "measured"},
	"feedback": {"measured"}, "measurement": {"measured"}, "process_value": {"measured"}, "pv": {"measured"}, "actual": {"measured"},
	"tau": {"time_constant"}, "cutoff_frequency": {"cutoff", "frequency"}, "corner": {"cutoff", "frequency"}, "cutoff": {"frequency"}, "fc": {"cutoff", "frequency"}, "f0": {"frequency"},
	"alpha": {"blend"}, "p": {"kp"}, "i": {"ki"}, "d": {"kd"}, "type": {"response"}, "filter": {"derivative_filter", "response"},
	"min": {"limits"}, "max": {"limits"}, "range": {"limits"}, "output_limits": {"limits"}, "out_limits": {"limits"}, "saturation": {"limits"}, "clamp": {"limits"},
	"windup_limit": {"integral_limits"}, "integral_limit": {"integral_limits"}, "i_limit": {"integral_limits"}, "i_limits": {"integral_limits"}, "imax": {"integral_limits"}, "i_max": {"integral_limits"},
	"formula": {"value"}, "expression": {"value"}, "expr": {"value"}, "equation": {"value"}, "constants": {"numbers"}, "parameters": {"numbers"}, "gains": {"numbers"}, "y": {"of"}, "sine": {"of"}, "wrap": {"around"}, "circular": {"around"}, "accel": {"angle"}, "gyro": {"rate"}, "quality": {"q"}, "quality_factor": {"q"}, "frequency": {"cutoff"}, "freq": {"frequency", "cutoff"}, "hysteresis": {"release"}, "enable": {"when"}, "when": {"enable"},
	"period": {"time_constant"}, "time": {"time_constant"}, "speed": {"measured_rate"}, "velocity": {"measured_rate"}, "gyro_rate": {"rate"}, "terms": {"of"}, "signals": {"of"}, "inputs": {"of"}, "gain_p": {"kp"}, "initial": {"start"}, "bias": {"offset"}, "when_on": {"enable"},
	"max_rate": {"fastest"}, "rate_limit": {"fastest"}, "slope": {"fastest"}, "max_change": {"fastest"}, "timeout": {"frozen_after"}, "stuck_after": {"frozen_after"}, "stale_after": {"frozen_after"}, "debounce": {"back_after"}, "delay": {"back_after"}, "clear": {"reset"}, "valid": {"range"}, "limits": {"range"},
	"divider": {"every"}, "division": {"every"}, "prescaler": {"every"}, "decimation": {"every"}, "decimate": {"every"}, "downsample": {"every"}, "interval": {"every"}, "each": {"every"}, "tick_offset": {"phase"}, "skew": {"phase"}, "stagger": {"phase"},
	"samples": {"over"}, "window": {"over"}, "length": {"over"}, "size": {"over"}, "ticks": {"time", "over"}, "table": {"points"}, "values": {"points"}, "pairs": {"points"}, "data": {"points"}, "breakpoints": {"points"}, "curve": {"points"}, "units": {"unit"},
}

// kindMeant is the kind that an unknown name of one stands for, or nil.
func kindMeant(name string) *Kind {
	name = spec.Plain(name)
	if other, known := otherKinds[name]; known {
		return Find(other)
	}
	if _, known := formulas[name]; known {
		return formulaKind
	}
	return Find(nearestOr(name, names(), ""))
}

// keyMeant is the key of the kind that an unknown key stands for, or nothing.
func (k *Kind) keyMeant(key string) string {
	if _, isLeft := leftOut[spec.Plain(key)]; isLeft {
		return ""
	}
	if key = spec.Plain(key); k.param(key) != nil { // KP is kp
		return key
	}
	for _, other := range otherKeys[key] {
		if k.param(other) != nil {
			return other
		}
	}
	return nearestOr(key, append(k.keys(), "every", "phase"), "")
}

// leftOut are keys for what a step does anyway, or what nothing does; and why they are left out.
var leftOut = map[string]string{
	"anti_windup": "the integral stops at integral_limits, by default those of the effort; tracking_time leads it back", "antiwindup": "the integral stops at integral_limits, by default those of the effort; tracking_time leads it back",
	"order":       "a second_order step is a filter of second order, and two of them in series one of fourth",
	"bandwidth":   "q is the frequency over the bandwidth",
	"n":           "derivative_filter is the time constant of the derivative's filter, td over n",
	"sample_time": "it is the rate of the spec; every: 4 ticks runs a step in every fourth tick", "dt": "it is the rate of the spec; every: 4 ticks runs a step in every fourth tick", "rate_hz": "it is the rate of the spec; every: 4 ticks runs a step in every fourth tick",
	"invert": "a gain, a factor or counts_per_unit may be negative", "inverted": "a gain, a factor or counts_per_unit may be negative", "reverse": "a gain, a factor or counts_per_unit may be negative",
}

// rewritten is a key with its value in the form that the kind reads, where it can be told what is meant; else the empty text.
func (k *Kind) rewritten(s *spec.Step, key string, v spec.Value) string {
	p := k.param(key)
	if p == nil {
		return ""
	}
	text := p.from(v)
	switch {
	case key == "around" && (v.Text == "true" || v.Text == "yes" || v.Text == "on"):
		text = "circle"
	case key == "limits" && v.Shape == spec.Scalar: // min and max, each with one end
		var ends [2]string
		for _, a := range s.Args {
			switch spec.Plain(a.Key) {
			case "min", "low", "lower":
				ends[0] = a.Value.Text
			case "max", "high", "upper":
				ends[1] = a.Value.Text
			}
		}
		if lo, hi := ends[0], ends[1]; lo != "" && hi != "" {
			text = "[" + lo + ", " + hi + "]"
		}
	case spec.Plain(key) == "release" && v.Shape == spec.Scalar:
		text = within(s, v)
	case p.Form == Signals && v.Shape == spec.Scalar && k.sides(s) != "":
		text = k.sides(s)
	case p.Form == Signals && v.Shape == spec.Scalar: // of: fore, up is two keys for YAML
		names := []string{v.Text}
		for _, a := range s.Args {
			if a.Value.Shape == spec.Scalar && a.Value.Text == "" && k.param(a.Key) == nil {
				names = append(names, a.Key)
			}
		}
		if text = ""; len(names) > 1 {
			text = "[" + strings.Join(names, ", ") + "]"
		}
	}
	if text == "" {
		return ""
	}
	return key + ": " + text
}

// sides are the two sides of an angle, given as y and x; else the empty text.
func (k *Kind) sides(s *spec.Step) string {
	var y, x string
	for _, a := range s.Args {
		switch spec.Plain(a.Key) {
		case "y", "sine", "sin":
			y = a.Value.Text
		case "x", "cosine", "cos":
			x = a.Value.Text
		}
	}
	if y == "" || x == "" {
		return ""
	}
	return "[" + y + ", " + x + "]"
}

// within are the limits of a step, drawn in by a hysteresis on either side; else the empty text.
func within(s *spec.Step, v spec.Value) string {
	h, err := spec.ParseQuantity(v.Text)
	if err != nil {
		return ""
	}
	a := s.Arg("limits")
	if a == nil || len(a.Value.Items) != 2 {
		return ""
	}
	lo, errLo := spec.ParseQuantity(a.Value.Items[0].Text)
	hi, errHi := spec.ParseQuantity(a.Value.Items[1].Text)
	if errLo != nil || errHi != nil {
		return ""
	}
	lo.Number.Add(lo.Number, h.Number)
	if hi.Number.Sub(hi.Number, h.Number); lo.Number.Cmp(hi.Number) >= 0 {
		return ""
	}
	return "[" + decimal(lo.Number) + ", " + decimal(hi.Number) + "]"
}

// from is a value in the form of the key, where it was written in another one; else the empty text.
func (p Param) from(v spec.Value) string {
	switch {
	case p.Form == Signal && v.Shape == spec.List && len(v.Items) == 1:
		return v.Items[0].Text
	case p.Form == Limits && v.Shape != spec.Map:
		return spec.Span(v)
	case p.Form == Terms && v.Shape == spec.List:
		var terms []string
		for _, i := range v.Items {
			terms = append(terms, i.Text+": 1")
		}
		return "{" + strings.Join(terms, ", ") + "}"
	case p.Form == Terms && v.Shape == spec.Scalar:
		return termsOf(v.Text)
	}
	return ""
}

// termsOf reads a sum as people write it, such as effort - turn.
func termsOf(text string) string {
	var terms []string
	sign := ""
	for _, word := range strings.Fields(strings.NewReplacer("+", " + ", "-", " - ").Replace(text)) {
		switch {
		case word == "+" || word == "-":
			sign = strings.Trim(word, "+")
		case !spec.IsName(word):
			return ""
		default:
			terms = append(terms, word+": "+sign+"1")
			sign = ""
		}
	}
	if len(terms) == 0 {
		return ""
	}
	return "{" + strings.Join(terms, ", ") + "}"
}

// otherFunctions are names that people have for functions of formulas.
var otherFunctions = map[string]string{"minimum": "min", "least": "min", "smallest": "min", "maximum": "max", "largest": "max", "greatest": "max", "fabs": "abs", "absolute": "abs", "magnitude": "abs", "size": "abs",
	"sat": "clamp", "saturate": "clamp", "saturation": "clamp", "limit": "clamp", "limited": "clamp", "constrain": "clamp", "bound": "clamp", "clip": "clamp", "between": "clamp",
	"lerp": "move", "mix": "move", "blend": "move", "interpolate": "move", "ramp_to": "move", "root": "sqrt", "square_root": "sqrt"}

// functionMeant is what to write for a call of an unknown function.
func functionMeant(name string, args []*expr, functions []string) string {
	text := func(n int, otherwise string) string {
		if n < len(args) {
			return args[n].guarded()
		}
		return otherwise
	}
	x, y, z := text(0, "x"), text(1, "y"), text(2, "z")
	switch name := spec.Plain(name); name {
	case "max0", "positive", "relu":
		return "max(" + x + ", 0)"
	case "min0", "negative":
		return "min(" + x + ", 0)"
	case "avg", "average", "mean":
		if len(args) == 1 {
			return x
		}
		sum := x
		for i := 1; i < max(len(args), 2); i++ {
			sum += " + " + text(i, "y")
		}
		return fmt.Sprintf("(%s) / %d", sum, max(len(args), 2))
	case "sq", "sqr", "square":
		return x + " * " + x
	case "pow", "power":
		return x + " * " + x + " for the square; a product for each further power"
	case "sign", "sgn", "signum":
		return "if " + x + " < 0 then -1 else 1"
	case "select", "choose", "iif", "cond", "where", "switch":
		return "if " + x + " then " + y + " else " + z
	case "and", "or":
		return x + " " + name + " " + y
	case "equal", "equals", "eq", "near":
		return "abs(" + x + " - " + y + ") < 0.5, with how close is close enough"
	case "dead_band", "deadband", "dead_zone", "deadzone":
		return fmt.Sprintf("%[1]s - clamp(%[1]s, -1, 1), with the ends of the band", x)
	case "delta", "difference", "diff", "prev", "last":
		return "previous and the name of a signal"
	case "sin", "cos", "tan", "exp", "log", "ln", "asin", "acos":
		return "a straight line through the range that matters, such as 0.8 * x + 1"
	case "atan", "atan2":
		return "a step of kind angle"
	case "integral", "integrate", "sum":
		return "a step of kind integrate, for a sum over time; + for a sum of values"
	case "filter", "low_pass", "smooth":
		return "a step of kind low_pass"
	case "floor", "round", "ceil", "trunc", "int":
		return x + ", as it is: results are rounded where the program needs it, and the bound says how far"
	case "mod", "fmod", "rem":
		return "a step of kind wrap, for an angle"
	}
	if meant := otherFunctions[spec.Plain(name)]; slices.Contains(functions, meant) {
		return meant
	}
	return nearestOr(name, functions, "one of "+strings.Join(functions, ", "))
}
