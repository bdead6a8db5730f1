package trial

import (
	"fmt"
	"strings"
	"text/tabwriter"

	"gainwright/model/program"
)

// Fault is one thing that must not be, with all that is known of its tick.
type Fault struct {
	Rule     string // bits, range, local, chain or asked
	Kind     string // of inputs
	Restart  int    // which run of that kind, from 0
	Tick     int    // since the restart, from 0
	Message  string
	Inputs   []Named
	Settings []Named // live gains set before this tick; the count is the setting
	Coefs    []Named // in force in this tick
	Before   []Named // states before the tick
	After    []Named // states after it
	Values   []Named // of every operation of the integer program
	Real     []Named // of the real program that it was compared with; counts are 0
}

// Named is a value with its name, in counts and in units.
type Named struct {
	Name  string
	Count int64
	Value float64
	Unit  string
}

// String is the text form: what is wrong, then every value.
func (f *Fault) String() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s inputs, restart %d, tick %d: %s\n", f.Kind, f.Restart, f.Tick, f.Message)
	w := tabwriter.NewWriter(&b, 0, 0, 2, ' ', tabwriter.AlignRight)
	part := func(title string, values []Named, counts bool) {
		if len(values) == 0 {
			return
		}
		fmt.Fprintf(w, "  %s\n", title)
		for _, v := range values {
			count := ""
			if counts {
				count = fmt.Sprint(v.Count)
			}
			fmt.Fprintf(w, "    %s\t%s\t%.9g %s\t\n", v.Name, count, v.Value, v.Unit)
		}
		w.Flush()
	}
	part("inputs", f.Inputs, true)
	part("gains set before this tick", f.Settings, true)
	part("live coefficients", f.Coefs, true)
	part("states before", f.Before, true)
	part("values", f.Values, true)
	part("states after", f.After, true)
	part("real program", f.Real, false)
	return b.String()
}

// snapshot runs a batch again up to its tick n and writes down every value.
func (t *trial) snapshot(k *Kind, b *batch, n int) (*Fault, *program.FixedMachine) {
	p := t.u.Integer
	m := program.NewFixedMachine(p)
	copy(m.State, b.states)
	coefs := append([]int64(nil), b.coefs...)
	before := append([]int64(nil), b.states...)
	for i := 0; i <= n; i++ {
		latch(p, b.record(i), coefs)
		startOver(m, b.record(i), t.integrals)
		copy(before, m.State)
		m.Tick(b.record(i), coefs)
	}
	f := &Fault{Kind: k.Name, Restart: b.restart, Tick: b.first + n}
	record := b.record(n)
	for i, in := range p.Inputs {
		f.Inputs = append(f.Inputs, Named{in.Name, record[i], t.inScale[i].units(record[i]), in.Unit})
	}
	for g, gain := range p.Gains {
		if at := len(p.Inputs) + 2*g; record[at] != 0 {
			value := float64(record[at+1])
			for _, c := range p.Coefs {
				if c.Gain == g {
					for range c.Setter.Digits {
						value /= 10
					}
					break
				}
			}
			f.Settings = append(f.Settings, Named{gain.Key, record[at+1], value, gain.Unit})
		}
	}
	for i, c := range p.Coefs {
		f.Coefs = append(f.Coefs, Named{c.Name, coefs[i], t.coefScale[i].units(coefs[i]), ""})
	}
	for i, s := range p.States {
		lsb := newScale(s.LSB, s.Lo, s.Hi)
		f.Before = append(f.Before, Named{s.Name, before[i], lsb.units(before[i]), s.Unit})
		f.After = append(f.After, Named{s.Name, m.State[i], lsb.units(m.State[i]), s.Unit})
	}
	for i, op := range p.Ops {
		lsb := newScale(op.LSB, op.Lo, op.Hi)
		f.Values = append(f.Values, Named{op.Name, m.Values[i], lsb.units(m.Values[i]), op.Unit})
	}
	return f, m
}

// differs reports a value of the target that is another than the integer program's.
func (t *trial) differs(k *Kind, b *batch, n, value int, got int64) *Fault {
	f, _ := t.snapshot(k, b, n)
	f.Rule = "bits"
	f.Message = fmt.Sprintf("%s is %d in the integer program, %s gives %d", t.resultName(value), b.result(n)[value], t.options.Target.Name(), got)
	return f
}

// resultName says what value number i of a result record is.
func (t *trial) resultName(i int) string {
	p := t.u.Integer
	if i < len(p.Outputs) {
		return "output " + p.Outputs[i].Name
	}
	if i -= len(p.Outputs); i < len(p.States) {
		return "state " + p.States[i].Name
	}
	if i -= len(p.States); i < len(p.Coefs) {
		return "active coefficient " + p.Coefs[i].Name
	}
	return "the 0 of an empty record"
}

// outside reports the first value outside its certified range.
func (t *trial) outside(k *Kind, b *batch, n int) *Fault {
	f, m := t.snapshot(k, b, n)
	f.Rule = "range"
	say := func(what, name string, v, lo, hi int64) {
		if f.Message == "" && (v < lo || v > hi) {
			f.Message = fmt.Sprintf("%s %s is %d, the certificate says [%d, %d]", what, name, v, lo, hi)
		}
	}
	for i, op := range t.u.Integer.Ops {
		say("value", op.Name, m.Values[i], op.Lo, op.Hi)
	}
	for i, s := range t.u.Integer.States {
		say("state", s.Name, m.State[i], s.Lo, s.Hi)
	}
	return f
}

// over reports a signal beyond its bound. real is the machine that it was compared with, at that tick.
func (t *trial) over(k *Kind, b *batch, n, i, which int, real *program.RealMachine, apart float64) *Fault {
	f, _ := t.snapshot(k, b, n)
	s := &t.signals[i]
	c := s.claims()[which]
	f.Rule = rules[which][0]
	f.Message = fmt.Sprintf("signal %s is %.9g %s from %s, the bound is %.9g (and %.2g for float64)", s.name, apart, s.unit, rules[which][1], c.bound, c.allowance)
	for i, op := range t.u.Stored.Ops {
		f.Real = append(f.Real, Named{Name: op.Name, Value: real.Values[i], Unit: op.Unit})
	}
	return f
}
