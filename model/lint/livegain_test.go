package lint_test

import (
	"fmt"
	"math/big"
	"os"
	"testing"

	"gainwright/model"
)

// TestLiveGains holds what is said of live gains against every setting of their ranges.
func TestLiveGains(t *testing.T) {
	gains := 0
	for _, name := range []string{"cart", "heading", "incubator", "pan", "spindle"} {
		src, err := os.ReadFile("../../templates/starters/" + name + ".yaml")
		if err != nil {
			t.Fatal(err)
		}
		u := model.Compile(name+".yaml", src)
		if !u.OK() {
			t.Fatal(u.Findings)
		}
		for _, l := range u.LiveGains() {
			gains++
			key := u.Integer.Gains[l.Gain].Key
			for _, c := range u.Integer.Coefs {
				if c.Gain != l.Gain {
					continue
				}
				s, r := c.Setter, c.Ratio()
				zero, worst, within := int64(0), new(big.Rat), int64(0)
				for x := s.XLo; x <= s.XHi; x++ {
					if x == 0 {
						continue
					}
					if s.Apply(x) == 0 {
						zero++
						continue
					}
					e := new(big.Rat).SetInt64(s.Apply(x))
					e.Quo(e, new(big.Rat).Mul(new(big.Rat).SetInt64(x), r))
					e.Abs(e.Sub(e, big.NewRat(1, 1)))
					if e.Cmp(worst) > 0 {
						worst = e
					}
					if e.Cmp(big.NewRat(1, 100)) > 0 {
						within = x
					}
				}
				if zero != l.Vanish || worst.Cmp(l.Worst) != 0 {
					t.Errorf("%s: %d settings are stored as 0, the worst error is %s; said: %d, %s", key, zero, worst.FloatString(6), l.Vanish, l.Worst.FloatString(6))
				}
				if first := new(big.Rat).Mul(new(big.Rat).SetInt64(within+1), s.Step()); first.Cmp(l.Within) != 0 {
					t.Errorf("%s: within 1 %% from %s, said: %s", key, first.FloatString(6), l.Within.FloatString(6))
				}
				if least := new(big.Rat).Mul(new(big.Rat).SetInt64(max(zero, 0)+1), s.Step()); s.XLo == 0 && least.Cmp(l.Smallest) != 0 {
					t.Errorf("%s: the smallest setting is %s, said: %s", key, least.FloatString(6), l.Smallest.FloatString(6))
				}
			}
		}
	}
	if gains < 8 {
		t.Errorf("%d live gains", gains)
	}
}

// integrating is a spec with a live ki: its start and its tuning range are to be filled in.
const integrating = `controller: balance
rate: 200 Hz
target: avr8
inputs: {x: {raw: int16, unit: deg, counts_per_unit: 64, range: [-100, 100]}}
steps: {p: {kind: pid, target: 0, measured: x, kp: 20, ki: %s, limits: [-255, 255], unit: duty}}
outputs: {y: {from: p, raw: int16, unit: duty, counts_per_unit: 1, limits: [-255, 255]}}
tuning: {p.kp: [0, 60], p.ki: %s}
`

// TestSettingVanishes: settings that are stored as 0 are told of where the tuning range does not begin at 0 or the start is near them,
// and the remedy, written where it points, leaves nothing to tell.
func TestSettingVanishes(t *testing.T) {
	for _, k := range []struct {
		tuning, start string
		told          bool
	}{{"[0, 400]", "140", false}, {"[0.1, 400]", "140", true}, {"[0, 400]", "15", true}, {"[0, 400]", "20", false}, {"[0.2, 400]", "140", false}, {"[0.15, 400]", "0.5", true}, {"[-400, 400]", "-15", true}} {
		write := func(tuning string) *model.Unit {
			return model.Compile("balance.yaml", []byte(fmt.Sprintf(integrating, k.start, tuning)))
		}
		find := func(u *model.Unit) (remedies []string) {
			if !u.OK() {
				t.Fatal(u.Findings)
			}
			for _, f := range u.Findings {
				if f.Rule == "setting-vanishes" && f.Key == "tuning.p.ki" {
					remedies = append(remedies, f.Remedy)
				}
			}
			return remedies
		}
		said := find(write(k.tuning))
		if len(said) > 0 != k.told {
			t.Errorf("%s, start %s: %v", k.tuning, k.start, said)
		}
		for _, remedy := range said {
			if again := find(write(remedy)); len(again) > 0 {
				t.Errorf("%s, start %s: the remedy %s leads to %v", k.tuning, k.start, remedy, again)
			}
		}
	}
}
