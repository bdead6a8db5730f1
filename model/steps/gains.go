package steps

import (
	"fmt"
	"math/big"
	"strings"

	"gainwright/model/interval"
	"gainwright/model/spec"
)

// Gains are those of the parallel form, effort = P*e + I*integral(e) + D*de/dt.
type Gains struct{ P, I, D *big.Rat }

// Standard turns K*(1 + 1/(s*Ti) + s*Td) into the parallel form. A nil Ti or Td leaves its term out.
// Source: Astrom and Hagglund, PID Controllers: Theory, Design, and Tuning (from memory).
func Standard(k, ti, td *big.Rat) Gains {
	g := Gains{P: k}
	if ti != nil {
		g.I = new(big.Rat).Quo(k, ti)
	}
	if td != nil {
		g.D = new(big.Rat).Mul(k, td)
	}
	return g
}

// Series turns K*(1 + 1/(s*Ti))*(1 + s*Td) into the standard form's K, Ti, Td: K*(Ti+Td)/Ti, Ti+Td,
// Ti*Td/(Ti+Td). Source: Astrom and Hagglund (from memory).
func Series(k, ti, td *big.Rat) (sk, sti, std *big.Rat) {
	sum := new(big.Rat).Add(ti, td)
	sk = new(big.Rat).Mul(k, new(big.Rat).Quo(sum, ti))
	std = new(big.Rat).Quo(new(big.Rat).Mul(ti, td), sum)
	return sk, sum, std
}

func (c *pid) readGains() {
	l := c.Lowering
	c.inUnit = c.unit
	if c.measured.unit != "" {
		c.inUnit += "/" + c.measured.unit
	}
	h := c.Period()
	c.factorI, c.factorD = h, big.NewRat(1, 1)
	parallel := l.Has("kp") || l.Has("ki") || l.Has("kd")
	if !l.Has("gain") {
		for _, k := range []string{"ti", "td", "form"} {
			if l.Has(k) {
				rule := "no-gain"
				if parallel {
					rule = "two-forms"
				}
				l.fail(l.argPos(k), k, rule, l.otherForm(k), "%s goes with gain%s", k, l.given())
			}
		}
		if l.Word("per") == "tick" {
			c.factorI = big.NewRat(1, 1)
		}
		zero := new(big.Rat)
		unitI, unitD := "", "" // as check prints them; per tick they have none that says so
		if c.inUnit != "" && l.Word("per") != "tick" {
			unitI, unitD = c.inUnit+"/s", c.inUnit+"*s"
		}
		c.gains = Gains{P: l.Number("kp", c.inUnit, zero), I: l.Number("ki", unitI, zero), D: l.Number("kd", unitD, zero)}
		return
	}
	if parallel {
		l.fail(l.argPos("gain"), "gain", "two-forms", "leave it out, with ti and td; or leave out kp, ki and kd", "gain, ti and td are one form of the gains, kp, ki and kd another, and both are given")
	}
	if l.Has("per") {
		l.fail(l.argPos("per"), "per", "two-forms", "leave per out", "ti and td are times: per goes with kp, ki, kd")
	}
	k := l.Number("gain", c.inUnit, nil)
	var ti, td *big.Rat
	if l.Has("ti") {
		ti = l.Seconds("ti")
	}
	if l.Has("td") {
		td = l.Seconds("td")
	}
	if l.Word("form") == "series" && ti != nil && td != nil {
		k, ti, td = Series(k, ti, td)
	}
	c.gains = Standard(k, ti, td)
	for _, g := range []**big.Rat{&c.gains.I, &c.gains.D} {
		if *g == nil { // a live gain may be given beside, which is reported
			*g = new(big.Rat)
		}
	}
}

// given says which gains of the parallel form stand beside a key of the other form.
func (l *Lowering) given() string {
	var keys []string
	for _, k := range []string{"kp", "ki", "kd"} {
		if l.Has(k) {
			keys = append(keys, k)
		}
	}
	if len(keys) == 0 {
		return ", which is not given"
	}
	return ", and " + strings.Join(keys, " and ") + map[bool]string{true: " is given", false: " are given"}[len(keys) == 1]
}

// otherForm is what a key of the standard form becomes where gain is not given: the same gain of the parallel form if kp tells it.
func (l *Lowering) otherForm(key string) string {
	twin := map[string]string{"ti": "ki", "td": "kd"}[key]
	switch {
	case !l.Has("kp") && !l.Has("ki") && !l.Has("kd"):
		return "leave it out, and give kp, ki, kd; or give gain beside it"
	case twin == "" || l.Has(twin) || !l.Has("kp"):
		return "leave it out: it goes with gain"
	}
	kp, err := spec.ParseQuantity(l.arg("kp").Value.Text)
	time, errTime := spec.ParseQuantity(l.arg(key).Value.Text)
	worth := seconds[time.Unit]
	if err != nil || errTime != nil || worth == nil || time.Number.Sign() <= 0 || l.Word("per") == "tick" {
		return twin + ": the gain that it leads to; or gain in place of kp"
	}
	tau := new(big.Rat).Mul(time.Number, worth)
	g := Standard(kp.Number, tau, tau)
	k := g.I
	if key == "td" {
		k = g.D
	}
	return twin + ": " + decimal(k) + ", which is the same beside kp; or gain in place of kp"
}

// checkSigns warns of an integral or a derivative that works against the proportional part.
func (c *pid) checkSigns() {
	p, i, d := c.gains.P, c.gains.I, c.gains.D
	if p.Sign() != 0 && p.Sign()*i.Sign() < 0 && p.Sign()*d.Sign() < 0 && c.Has("kp") { // it stands alone against both
		c.warn(c.argPos("kp"), "kp", "gain-against-gain", "kp: "+decimal(new(big.Rat).Neg(p)), "kp is %s, ki %s and kd %s: the one works against the others", decimal(p), decimal(i), decimal(d))
		return
	}
	for _, g := range []struct {
		key   string
		value *big.Rat
	}{{"ki", i}, {"kd", d}} {
		if c.Has(g.key) && p.Sign()*g.value.Sign() < 0 {
			c.warn(c.argPos(g.key), g.key, "gain-against-gain", g.key+": "+decimal(new(big.Rat).Neg(g.value)),
				"%s is %s and kp %s: the one works against the other", g.key, decimal(g.value), decimal(p))
		}
	}
}

func (c *pid) readLimits() {
	l, s := c.Lowering, &c.limits
	s.lo, s.hi = l.Limits("limits", c.unit)
	key := "steps." + l.step.Name + ".limits"
	s.count, s.keys = l.fedCount(), [2]string{key, key}
	own := [2]*big.Rat{s.lo, s.hi} // of the output, once it is known
	for _, o := range l.spec.Outputs {
		if o.From != l.step.Name || o.Lo == nil {
			continue
		}
		own = [2]*big.Rat{o.Lo, o.Hi} // the anti-windup sees the final limit
		if of := "outputs." + o.Name + ".limits"; s.lo == nil {
			s.lo, s.hi, s.keys = o.Lo, o.Hi, [2]string{of, of}
		} else {
			if o.Lo.Cmp(s.lo) > 0 {
				s.lo, s.keys[0] = o.Lo, of
			}
			if o.Hi.Cmp(s.hi) < 0 {
				s.hi, s.keys[1] = o.Hi, of
			}
		}
	}
	if s.lo == nil {
		return
	}
	apart := s.lo.Cmp(s.hi) >= 0
	if apart {
		l.fail(l.argPos("limits"), "limits", "limits-apart", fmt.Sprintf("limits: [%s, %s]", decimal(own[0]), decimal(own[1])), "the limits and those of the output, [%s, %s], have nothing in common", decimal(own[0]), decimal(own[1]))
		s.lo, s.hi = big.NewRat(-1, 1), big.NewRat(1, 1)
	}
	if l.Has("limits") && !apart { // those of an output are looked at there
		l.checkInside(*s, l.argPos("limits"), key)
	}
	if l.Has("enable") && (s.lo.Sign() > 0 || s.hi.Sign() < 0) {
		l.fail(l.argPos("enable"), "enable", "off-outside-limits", fmt.Sprintf("limits: [%s, %s]", decimal(interval.Min(s.lo, new(big.Rat))), decimal(interval.Max(s.hi, new(big.Rat)))), "while off, the effort is 0, which lies outside its limits [%s, %s]", decimal(s.lo), decimal(s.hi))
	}
}
