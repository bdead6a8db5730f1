package c

import (
	"math/big"
	"regexp"
	"strings"
	"testing"
)

// TestBannerSaysWhatSettingsBecome: beside each live gain stand its smallest setting that is not stored as 0, and the one below is; and an
// error that no setting exceeds.
func TestBannerSaysWhatSettingsBecome(t *testing.T) {
	for _, u := range starters(t) {
		text := banner(u)
		for _, l := range u.LiveGains() {
			g := u.Integer.Gains[l.Gain]
			row := regexp.MustCompile(`(?m)^ \*     ` + regexp.QuoteMeta(g.Name) + ` +([0-9.]+) .*at most ([0-9.e-]+) %$`).FindStringSubmatch(text)
			if row == nil {
				t.Errorf("%s: nothing is said of %s:\n%s", u.Spec.Name, g.Name, text)
				continue
			}
			smallest, _ := new(big.Rat).SetString(row[1])
			worst, _ := new(big.Rat).SetString(row[2])
			worst.Quo(worst, big.NewRat(100, 1))
			for _, k := range u.Integer.Coefs {
				if k.Gain != l.Gain {
					continue
				}
				n := new(big.Rat).Quo(smallest, k.Setter.Step())
				if !n.IsInt() {
					t.Fatalf("%s: %s is no setting", g.Name, row[1])
				}
				x := n.Num().Int64()
				if k.Setter.Apply(x) == 0 {
					t.Errorf("%s: the setting %d is stored as 0", g.Name, x)
				}
				if x > max(k.Setter.XLo, 1) && k.Setter.Apply(x-1) != 0 {
					t.Errorf("%s: the setting %d is not stored as 0 either", g.Name, x-1)
				}
				ratio := new(big.Rat).Abs(k.Ratio())
				for i := x; i <= k.Setter.XHi; i++ {
					count := new(big.Rat).SetInt64(k.Setter.Apply(i))
					off := count.Quo(count.Abs(count), new(big.Rat).Mul(ratio, new(big.Rat).SetInt64(i)))
					if off.Abs(off.Sub(off, big.NewRat(1, 1))).Cmp(worst) > 0 {
						t.Fatalf("%s: the setting %d is off by %s, more than %s %%", g.Name, i, off.FloatString(9), row[2])
					}
				}
			}
		}
		if len(u.LiveGains()) == 0 && strings.Contains(text, "Live gains over") {
			t.Errorf("%s has no live gain", u.Spec.Name)
		}
	}
}
