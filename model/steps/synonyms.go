package steps

// otherKinds are names that practitioners have for kinds of step, and the kind that does it here.
var otherKinds = map[string]string{
	"p": "pid", "pi": "pid", "pd": "pid", "regulator": "pid", "controller": "pid",
	"lpf": "low_pass", "filter": "low_pass", "lag": "low_pass", "smooth": "low_pass", "moving_average": "low_pass", "first_order": "low_pass",
	"biquad": "second_order", "notch": "second_order", "high_pass": "second_order", "band_pass": "second_order", "peaking": "second_order",
	"limit": "clamp", "limiter": "clamp", "saturate": "clamp", "saturation": "clamp",
	"add": "sum", "subtract": "sum", "mix": "sum", "mixer": "sum", "gain": "sum", "scale": "sum", "offset": "sum", "feed_forward": "sum", "feedforward": "sum",
	"latch": "hold", "sample": "hold", "comparator": "window", "hysteresis": "window", "threshold": "window",
	"integrator": "integrate", "atan2": "angle", "arctangent": "angle", "unwrap": "wrap", "bias": "bias_at_rest",
}

// otherKeys are names that practitioners have for keys, and the keys that are meant, the likeliest first.
var otherKeys = map[string][]string{
	"setpoint": {"target"}, "set_point": {"target"}, "reference": {"target"}, "ref": {"target"}, "sp": {"target"}, "wanted": {"target"},
	"input": {"of", "measured"}, "in": {"of", "measured"}, "source": {"of", "measured"}, "signal": {"of", "measured"}, "from": {"of", "measured"}, "x": {"of", "measured"},
	"feedback": {"measured"}, "measurement": {"measured"}, "process_value": {"measured"}, "pv": {"measured"}, "actual": {"measured"},
	"tau": {"time_constant"}, "cutoff_frequency": {"cutoff", "frequency"}, "corner": {"cutoff", "frequency"}, "cutoff": {"frequency"}, "fc": {"cutoff", "frequency"}, "f0": {"frequency"},
	"alpha": {"blend"}, "p": {"kp"}, "i": {"ki"}, "d": {"kd"}, "type": {"response"}, "filter": {"derivative_filter", "response"},
	"min": {"limits"}, "max": {"limits"}, "range": {"limits"}, "output_limits": {"limits"}, "out_limits": {"limits"}, "saturation": {"limits"}, "clamp": {"limits"},
	"anti_windup": {"integral_limits"}, "windup_limit": {"integral_limits"}, "initial": {"start"}, "bias": {"offset"}, "when_on": {"enable"},
}

// kindMeant is the kind that an unknown name of one stands for, or nil.
func kindMeant(name string) *Kind {
	if other, known := otherKinds[name]; known {
		return Find(other)
	}
	var names []string
	for _, k := range Kinds() {
		names = append(names, k.Name)
	}
	return Find(nearestOr(name, names, ""))
}

// keyMeant is the key of the kind that an unknown key stands for, or nothing.
func (k *Kind) keyMeant(key string) string {
	for _, other := range otherKeys[key] {
		if k.param(other) != nil {
			return other
		}
	}
	var keys []string
	for _, p := range k.Params {
		keys = append(keys, p.Key)
	}
	return nearestOr(key, keys, "")
}
