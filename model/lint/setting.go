package lint

import (
	"fmt"
	"math/big"
	"strings"

	"gainwright/model/finding"
	"gainwright/model/program"
)

// settingVanishes tells of settings inside a tuning range that are stored as 0: where the range does not begin at 0, or where they are
// not far below the gain's value at start. For an integral gain that means that nothing is integrated; increments are added
// unrounded, so that one with a coefficient that is not 0 never stalls.
func settingVanishes(l *linter, say teller) {
	for _, live := range LiveGains(l.Integer) {
		g := l.Integer.Gains[live.Gain]
		if live.Vanish == 0 || live.Smallest == nil {
			continue
		}
		near := new(big.Rat).Mul(live.Smallest, big.NewRat(100, 1))
		if fromZero := g.Lo.Sign() <= 0 && g.Hi.Sign() >= 0; fromZero && (g.Value.Sign() == 0 || near.Cmp(new(big.Rat).Abs(g.Value)) <= 0) {
			continue
		}
		name, _, _ := strings.Cut(g.Key, ".")
		_, at, _ := l.Integer.Signal(name)
		least := program.Outward(live.Smallest, true)
		remedy := fmt.Sprintf("[%s, %s]", least, program.Outward(g.Hi, true))
		if g.Value.Sign() < 0 {
			remedy = fmt.Sprintf("[%s, -%s]", program.Outward(g.Lo, false), least)
		}
		settings := fmt.Sprintf("%d settings", live.Vanish)
		if live.Vanish == 1 {
			settings = "a setting"
		}
		say(at, finding.Warning, "tuning."+g.Key, remedy,
			strings.TrimSpace(fmt.Sprintf("%s of the tuning range, other than 0, would be stored as 0: the smallest that is not is %.3g %s", settings, f64(live.Smallest), g.Unit)),
			fmt.Sprintf("the range reaches from %.4g to %.4g, and the start is %.4g", f64(g.Lo), f64(g.Hi), f64(g.Value)))
	}
}
