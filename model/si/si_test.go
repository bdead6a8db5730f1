package si

import (
	"math"
	"testing"
)

func TestFactor(t *testing.T) {
	for _, c := range []struct {
		from, to string
		want     float64 // 0: refused
	}{
		{"g", "kg", 1e-3},
		{"g", "m/s^2", 9.80665},
		{"g", "g", 1},
		{"m/s^2", "g", 0}, // g alone is a mass; only the other direction can tell
		{"mm", "m", 1e-3},
		{"cm", "m", 1e-2},
		{"cA", "A", 0},
		{"min", "s", 60},
		{"ms", "s", 1e-3},
		{"us", "s", 1e-6},
		{"deg/s", "rad/s", math.Pi / 180},
		{"rpm", "rad/s", 2 * math.Pi / 60},
		{"deg/s/min", "rad/s/s", math.Pi / 180 / 60},
		{"g.cm^2", "kg.m^2", 1e-7},
		{"mN.m/A", "N.m/A", 1e-3},
		{"V.s/rad", "N.m/A", 1},
		{"V.s", "V.s/rad", 0}, // an angle is wanted
		{"N.m.s/rad", "N.m.s", 1},
		{"kJ/K", "J/K", 1e3},
		{"mAh", "A.s", 3.6},
		{"Wh", "J", 3600},
		{"%", "", 0.01},
		{"percent", "%", 1},
		{"K", "degC", 0},
		{"degC", "K", 1},
		{"duty", "duty", 1},
		{"duty", "V", 0},
		{"Hz", "rad/s", 0},
		{"kg", "m", 0},
		{"kg^x", "kg", 0},
		{"kg^99", "kg", 0},
		{"1/s", "Hz", 1},
		{"bar", "kPa", 100}, // 10^5 Pa: SI Brochure, table of units outside the SI, from memory
		{"mbar", "Pa", 100},
		{"Pa.m^2", "N", 1},
		{"", "", 1},
	} {
		got, ok := Factor(c.from, c.to)
		if ok != (c.want != 0) || math.Abs(got-c.want) > 1e-12*math.Abs(c.want) {
			t.Errorf("%q in %q: factor %g, %v; expected %g", c.from, c.to, got, ok, c.want)
		}
	}
}
