package cert_test

import (
	"fmt"
	"math/big"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"gainwright/model"
	"gainwright/model/cert"
	"gainwright/model/program"
)

// oneGain is a spec with a live kp of that tuning range, of an input with so many counts per unit.
func oneGain(t *testing.T, lo, hi, start, perUnit string) *model.Unit {
	t.Helper()
	u := model.Compile("one.yaml", []byte(fmt.Sprintf(`controller: one
about: One live gain.
rate: 100 Hz
target: avr8
inputs:
  x: {raw: int16, unit: mm, counts_per_unit: %s, range: [-1, 1]}
steps:
  p: {kind: pid, target: 0, measured: x, kp: %s, limits: [-100, 100], unit: percent}
outputs:
  y: {from: p, raw: int16, unit: percent, counts_per_unit: 10, limits: [-100, 100]}
tuning: {p.kp: [%s, %s]}
`, perUnit, start, lo, hi)))
	if !u.OK() {
		t.Fatalf("[%s, %s]: %v", lo, hi, u.Findings)
	}
	return u
}

// withGains are units with live gains of many sizes.
func withGains(t *testing.T) map[string]*model.Unit {
	t.Helper()
	units := map[string]*model.Unit{}
	for _, k := range [][4]string{{"0", "50", "12", "128"}, {"0", "9.99", "1.5", "1000"}, {"0.001", "0.5", "0.0333", "7"}, {"10", "12345", "77", "3"},
		{"0", "0.00007", "0.00003", "300"}, {"2", "2.5", "2.25", "100"}, {"0", "1000000", "31", "1"}} {
		units[strings.Join(k[:], " ")] = oneGain(t, k[0], k[1], k[2], k[3])
	}
	files, err := filepath.Glob("../../templates/starters/*.yaml")
	if err != nil || len(files) < 3 {
		t.Fatal("no starters", err)
	}
	for _, file := range files {
		if _, err := os.Stat(file); err == nil && !strings.HasSuffix(file, "_log.yaml") {
			units[file] = compile(t, file)
		}
	}
	return units
}

// TestSettingsBecomeTheGain: at every setting of every setter, one by one, the coefficient is as near as the checker claims,
// and never turns back.
func TestSettingsBecomeTheGain(t *testing.T) {
	half := big.NewRat(1, 2)
	setters, settings, off := 0, 0, 0
	for name, u := range withGains(t) {
		for _, c := range u.Integer.Coefs {
			s, r := c.Setter, c.Ratio()
			slope := new(big.Rat).SetFrac(big.NewInt(s.M), new(big.Int).Lsh(big.NewInt(1), s.Shift))
			slope.Abs(slope.Sub(slope, r))
			setters++
			before := s.Apply(s.XLo)
			by := max(1, (s.XHi-s.XLo)/20000)
			for x := s.XLo; x <= s.XHi; x += by {
				settings++
				exact := new(big.Rat).Mul(new(big.Rat).SetInt64(x), r)
				count := s.Apply(x)
				apart := new(big.Rat).Sub(new(big.Rat).SetInt64(count), exact)
				apart.Abs(apart)
				size := new(big.Rat).Abs(new(big.Rat).SetInt64(x))
				bound := new(big.Rat).Add(half, size.Mul(size, slope))
				most := new(big.Rat).Add(half, new(big.Rat).Mul(new(big.Rat).Abs(exact), big.NewRat(1, 1<<14)))
				if apart.Cmp(bound) > 0 || apart.Cmp(one) > 0 && apart.Cmp(most) > 0 {
					t.Fatalf("%s, %s: a setting of %d is %d counts, %s are exact", name, c.Name, x, count, exact.FloatString(4))
				}
				if apart.Cmp(half) > 0 {
					off++
				}
				if s.M > 0 && count < before || s.M < 0 && count > before {
					t.Fatalf("%s, %s: the coefficient turns back at a setting of %d", name, c.Name, x)
				}
				before = count
			}
			g := u.Integer.Gains[c.Gain]
			for _, end := range []struct {
				x int64
				v *big.Rat
			}{{s.XLo, g.Lo}, {s.XHi, g.Hi}, {s.XStart, g.Value}} {
				d := new(big.Rat).Sub(new(big.Rat).Mul(new(big.Rat).SetInt64(end.x), s.Step()), end.v)
				if d.Abs(d).Cmp(new(big.Rat).Mul(half, s.Step())) > 0 {
					t.Errorf("%s, %s: a setting of %d stands for %s", name, c.Name, end.x, end.v.FloatString(9))
				}
			}
		}
	}
	if setters < 10 || off == 0 {
		t.Errorf("%d setters, %d settings beside the nearest count", setters, off)
	}
	t.Logf("%d setters, %d settings, %d of them not at the nearest count", setters, settings, off)
}

// TestSpoiltSettersRefused: a setter that is not that of its gain is refused, each time with the reason.
func TestSpoiltSettersRefused(t *testing.T) {
	for name, u := range withGains(t) {
		for i := range u.Integer.Coefs {
			for what, change := range map[string]struct {
				spoil func(p *program.Fixed, c *program.FixedCoef)
				why   string
			}{
				"a multiplier of 0":      {func(_ *program.Fixed, c *program.FixedCoef) { c.Setter.M = 0 }, "multiplier"},
				"half a multiplier":      {func(_ *program.Fixed, c *program.FixedCoef) { c.Setter.M /= 2 }, "multiplier"},
				"the other direction":    {func(_ *program.Fixed, c *program.FixedCoef) { c.Setter.M = -c.Setter.M }, "multiplier"},
				"a coarse multiplier":    {func(_ *program.Fixed, c *program.FixedCoef) { coarse(&c.Setter, c.Ratio()) }, ""},
				"another meaning":        {func(_ *program.Fixed, c *program.FixedCoef) { c.Setter.Digits++ }, "settings"},
				"a shorter range":        {func(_ *program.Fixed, c *program.FixedCoef) { c.Setter.XHi-- }, "settings"},
				"a longer range":         {func(_ *program.Fixed, c *program.FixedCoef) { c.Setter.XHi++ }, "settings"},
				"another start":          {func(_ *program.Fixed, c *program.FixedCoef) { c.Setter.XStart++ }, "settings"},
				"half of the factor":     {func(_ *program.Fixed, c *program.FixedCoef) { c.Factor = new(big.Rat).Mul(c.Factor, big.NewRat(1, 2)) }, "another one"},
				"another gain's range":   {func(p *program.Fixed, c *program.FixedCoef) { p.Gains[c.Gain].Hi = twice(p.Gains[c.Gain].Hi) }, "differs"},
				"names of gains swapped": {func(p *program.Fixed, c *program.FixedCoef) { p.Gains[c.Gain].Name += "_2" }, "differs"},
			} {
				p := u.Integer.Clone()
				change.spoil(p, &p.Coefs[i])
				if err := cert.Check(u.Stored, p, u.Certificate); err == nil || !strings.Contains(err.Error(), change.why) {
					t.Errorf("%s, %s, %s: %v", name, p.Coefs[i].Name, what, err)
				}
			}
		}
	}
}

// coarse rounds the multiplier to four bits.
func coarse(s *program.Setter, r *big.Rat) {
	for s.M >= 16 || s.M < -16 {
		s.Shift--
		m := new(big.Rat).Mul(r, new(big.Rat).SetInt(new(big.Int).Lsh(big.NewInt(1), s.Shift)))
		f, _ := m.Float64()
		s.M = int64(f + 0.5)
		if f < 0 {
			s.M = -int64(-f + 0.5)
		}
	}
}

// TestOutputsStayInside: a limit of an output that its range crosses, at either end and for a turned output too, is refused.
func TestOutputsStayInside(t *testing.T) {
	for _, file := range []string{"../../templates/starters/cart.yaml", "../../testdata/specs/turned.yaml"} {
		u := compile(t, file)
		for i := range u.Integer.Outputs {
			for _, high := range []bool{false, true} {
				stored, p := u.Stored.Clone(), u.Integer.Clone()
				for _, o := range []*program.Output{&stored.Outputs[i], &p.Outputs[i]} {
					r := u.Certificate.Ops[u.Integer.Outputs[i].Value].Scale(u.Integer.Outputs[i].Count())
					inward := new(big.Rat).Mul(o.LSB, big.NewRat(1, 100))
					if high {
						o.Hi = new(big.Rat).Sub(r.Hi, inward)
					} else {
						o.Lo = new(big.Rat).Add(r.Lo, inward)
					}
				}
				if err := cert.Check(stored, p, u.Certificate); err == nil || !strings.Contains(err.Error(), "its limits are") {
					t.Errorf("%s, output %s, high %v: %v", file, p.Outputs[i].Name, high, err)
				}
			}
		}
	}
}
