package trial

import (
	"math"
	"math/big"

	"gainwright/model/program"
)

// latch applies the settings of a record, as the step does when it starts.
func latch(p *program.Fixed, record, coefs []int64) (changed bool) {
	settings := record[len(p.Inputs):]
	for g := range p.Gains {
		if settings[2*g] == 0 {
			continue
		}
		changed = true
		for i, c := range p.Coefs {
			if c.Gain == g {
				coefs[i] = c.Setter.Apply(settings[2*g+1])
			}
		}
	}
	return changed
}

// ask applies the settings of a record as they were asked for: no setter rounds them.
func (t *trial) ask(record []int64) {
	p := t.u.Integer
	settings := record[len(p.Inputs):]
	for i, c := range p.Coefs {
		if settings[2*c.Gain] == 0 {
			continue
		}
		x := min(max(settings[2*c.Gain+1], c.Setter.XLo), c.Setter.XHi)
		ten := new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(c.Setter.Digits)), nil)
		t.askCoefs[i] = times(new(big.Rat).SetFrac(big.NewInt(x), ten), t.u.Asked.Coefs[i].Factor)
	}
}

func times(gain, factor *big.Rat) float64 {
	f, _ := new(big.Rat).Mul(gain, factor).Float64()
	return f
}

// startOver starts a program over where a record asks for it.
func startOver(m interface{ Restart(kept ...int) }, record []int64, integrals []int) bool {
	switch record[len(record)-1] {
	case StartOver:
		m.Restart()
	case KeepIntegrals:
		m.Restart(integrals...)
	default:
		return false
	}
	return true
}

// runInteger runs the integer program over a batch and checks the certified ranges.
func (t *trial) runInteger(k *Kind, b *batch) {
	p, m := t.u.Integer, t.integer
	ops := len(p.Ops)
	for n := range b.ticks {
		record := b.record(n)
		if latch(p, record, t.coefs) {
			k.Settings++
		}
		if startOver(m, record, t.integrals) {
			k.Again++
		}
		m.Tick(record, t.coefs)
		outside := 0
		lo, hi := t.lo[:ops], t.hi[:ops]
		for i, v := range m.Values[:ops] {
			if v < lo[i] || v > hi[i] {
				outside++
			}
		}
		lo, hi = t.lo[ops:], t.hi[ops:]
		for i, v := range m.State {
			if v < lo[i] || v > hi[i] {
				outside++
			}
		}
		if outside > 0 {
			if k.Outside == 0 {
				k.Faults = append(k.Faults, t.outside(k, b, n))
			}
			k.Outside += outside
		}
		result := b.result(n)
		for i, o := range p.Outputs {
			result[i] = m.Values[o.Value]
		}
		at := len(p.Outputs)
		at += copy(result[at:], m.State)
		copy(result[at:], t.coefs)
		signals := b.signals[n*len(t.signals):][:len(t.signals)]
		for i := range t.signals {
			signals[i] = m.Values[t.signals[i].integer]
		}
	}
}

// runReal runs the real program over a batch, fed and whole, and takes the differences.
func (t *trial) runReal(k *Kind, b *batch) {
	p := t.u.Integer
	at := len(p.Outputs) + len(p.States)
	for n := range b.ticks {
		record := b.record(n)
		for i := range t.in {
			t.in[i] = t.inScale[i].units(record[i])
		}
		for i, c := range b.result(n)[at:][:len(t.realCoefs)] {
			t.realCoefs[i] = t.coefScale[i].units(c)
		}
		counts := b.signals[n*len(t.signals):][:len(t.signals)]
		for i := range t.signals {
			s := &t.signals[i]
			s.now = s.scale.units(counts[i])
			t.feed[s.real] = s.now
		}
		machines := [3]*program.RealMachine{t.fed, t.whole, t.asked}
		for _, m := range machines {
			startOver(m, record, t.realIntegrals)
		}
		t.fed.Tick(t.in, t.realCoefs, t.feed)
		t.whole.Tick(t.in, t.realCoefs, nil)
		t.ask(record)
		t.asked.Tick(t.in, t.askCoefs, nil)
		for i := range t.signals {
			s, found := &t.signals[i], &k.Signals[i]
			differences := [3]*Difference{&found.Local, &found.Chain, &found.Asked}
			for which, c := range s.claims() {
				if which == chainRule && !c.claimed {
					continue
				}
				m, d := machines[which], differences[which]
				if apart := c.apart(s.now - m.Values[s.real]); c.judge(d, apart) && d.Over == 1 {
					k.Faults = append(k.Faults, t.over(k, b, n, i, which, m, apart))
				}
			}
		}
		for i, w := range t.watched {
			t.seen[i] = append(t.seen[i], t.signals[w].now)
		}
	}
}

// apart is the size of a difference, taken as it is claimed: on a line, or the short way round a circle.
func (c *claim) apart(d float64) float64 {
	if c.turn != 0 && math.Abs(d) > c.turn/2 {
		d = math.Remainder(d, c.turn)
	}
	return math.Abs(d)
}

// judge notes a difference and tells whether it is over the bound.
func (c *claim) judge(d *Difference, apart float64) bool {
	if apart > d.Largest || apart != apart {
		d.Largest = apart
	}
	if apart <= c.limit || !c.claimed || c.unjudged != "" {
		return false
	}
	d.Over++
	return true
}
