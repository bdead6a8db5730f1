package c

import (
	"fmt"
	"math/big"
	"strings"

	"gainwright/gen/caution"
	"gainwright/gen/contract"
	"gainwright/model"
)

// banner is the comment at the top of the header.
func banner(u *model.Unit) string {
	p := u.Integer
	text := render("c_banner.tmpl", map[string]any{
		"Name":      u.Spec.Name,
		"About":     contract.Plain(u.Spec.About),
		"Version":   model.Version,
		"File":      contract.Plain(base(u.Spec.File)),
		"Hash":      contract.Plain(u.Spec.Hash),
		"Target":    contract.Plain(u.Spec.Target),
		"Small":     u.Spec.Prefer == "size",
		"Period":    period(p.Rate),
		"Rate":      contract.Decimal(p.Rate) + " Hz",
		"Gains":     len(p.Gains) > 0,
		"Constants": constantTable(u.Constants),
		"LiveGains": liveGainTable(u),
		"Cautions":  cautions(),
	})
	return blockComment("", strings.Split(strings.TrimRight(string(text), "\n"), "\n"))
}

func cautions() (lines []string) {
	for _, text := range caution.All() {
		lines = append(lines, contract.Wrap("    ", text)...)
	}
	return lines
}

// base is the last part of a path, whichever way its slashes lean.
func base(path string) string { return path[strings.LastIndexAny(path, `/\`)+1:] }

// period is the time from tick to tick, in the largest unit that it has one of.
func period(rate *big.Rat) string {
	t := new(big.Rat).Inv(rate)
	for _, unit := range []string{"s", "ms"} {
		if t.Cmp(big.NewRat(1, 1)) >= 0 {
			return contract.Decimal(t) + " " + unit
		}
		t.Mul(t, big.NewRat(1000, 1))
	}
	return contract.Decimal(t) + " us"
}

// constantTable lists what the numbers of the spec became: live gains, what is not stored exactly, and what
// the spec names. It says how many others there are.
func constantTable(constants []model.Constant) string {
	var rows [][]string
	others := 0
	for _, k := range constants {
		if !k.Live && !k.Given && k.Asked.Cmp(k.Stored) == 0 {
			others++
			continue
		}
		asked := contract.Exact(k.Asked)
		if len(asked) > 12 || strings.Contains(asked, "/") {
			asked = contract.Decimal(k.Asked)
		}
		asked = strings.TrimSpace(asked + " " + contract.Plain(k.Unit))
		note := ""
		if k.Live {
			note = "live, at start"
		}
		rows = append(rows, []string{contract.Plain(k.Name), asked, "-> " + contract.Decimal(k.Stored), relative(k.Asked, k.Stored), note})
	}
	text := columns("    ", rows)
	if others > 0 {
		if text != "" {
			text += "\n"
		}
		text += fmt.Sprintf("    and %d more, each stored exactly", others)
	}
	return text
}

// liveGainTable says what the settings of each live gain become over its tuning range.
func liveGainTable(u *model.Unit) string {
	var rows [][]string
	for _, l := range u.LiveGains() {
		g := u.Integer.Gains[l.Gain]
		if l.Smallest == nil {
			rows = append(rows, []string{contract.Plain(g.Name), "all are stored as 0"})
			continue
		}
		smallest := strings.TrimSpace(contract.SmallestSetting(l) + " " + contract.Plain(g.Unit))
		rows = append(rows, []string{contract.Plain(g.Name), smallest, "at most " + contract.WorstSetting(l)})
	}
	return columns("    ", rows)
}

// relative is the relative error of a stored constant, in words where it is none.
func relative(asked, stored *big.Rat) string {
	d := new(big.Rat).Sub(stored, asked)
	switch {
	case d.Sign() == 0:
		return "exact"
	case asked.Sign() == 0:
		return "was 0"
	}
	f, _ := d.Quo(d, asked).Float64()
	return fmt.Sprintf("%+.1e", f)
}
