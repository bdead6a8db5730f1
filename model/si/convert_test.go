package si

import (
	"math"
	"testing"
)

func TestConvert(t *testing.T) {
	for _, c := range []struct {
		x        float64
		from, to string
		value    float64 // NaN: refused
		change   float64
	}{
		{310, "K", "degC", 36.85, 310},
		{98.6, "degF", "degC", 37, 98.6 * 5 / 9},
		{37, "degC", "K", 310.15, 37},
		{600, "mm", "cm", 60, 60},
		{1, "rad", "deg", 180 / math.Pi, 180 / math.Pi},
		{0.5, "turn", "deg", 180, 180},
		{27, "degC/min", "degC/s", 0.45, 0.45},
		{9, "degF/min", "degC/s", 1.0 / 12, 1.0 / 12},
		{4, "duty/mm", "duty/cm", 40, 40},
		{1.2, "percent/degC/min", "percent/degC/s", 0.02, 0.02},
		{12, "percent/K", "percent/degC", 12, 12},
		{9, "percent/degF", "percent/degC", 16.2, 16.2},
		{2, "%/degC*s", "percent/degC*s", 2, 2},
		{2, "duty/mm*s", "duty/cm*s", 20, 20},
		{60, "rpm", "deg/s", 360, 360},
		{1, "h", "min", 60, 60},
		{41, "%", "", 0.41, 0.41},
		{1, "%", "duty", math.NaN(), math.NaN()},
		{1, "kg", "g", math.NaN(), math.NaN()},
		{1, "duty", "percent", math.NaN(), math.NaN()},
		{1, "duty/mm", "volts/mm", math.NaN(), math.NaN()},
		{1, "duty", "1/duty", math.NaN(), math.NaN()},
		{1, "rad", "", math.NaN(), math.NaN()},
		{1, "mm", "s", math.NaN(), math.NaN()},
		{1, "mm^0", "m", math.NaN(), math.NaN()},
	} {
		for name, k := range map[string]struct {
			f    func(x float64, from, to string) (float64, bool)
			want float64
		}{"value": {Value, c.value}, "change": {Change, c.change}} {
			got, ok := k.f(c.x, c.from, c.to)
			if ok == math.IsNaN(k.want) || ok && math.Abs(got-k.want) > 1e-12*math.Abs(k.want) {
				t.Errorf("%s %g %s in %s: %g %v, expected %g", name, c.x, c.from, c.to, got, ok, k.want)
			}
		}
	}
}
