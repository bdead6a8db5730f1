// Package trial runs the real program, the integer program and, where one is given, a target over the
// same ticks, and compares what they do with each other and with what was proven.
//
// At every tick it asks five things. Sameness: does the target give the integer program's outputs,
// states and active coefficients, bit for bit. Range: is every value inside its certified range. Local
// rounding: is each signal within its bound of the real program that is fed, section by section, with
// the integer program's own signals. Chain rounding: where a bound is claimed for it, is the signal
// within it of the whole real program fed with the raw inputs alone. And how far is it from the program that was
// asked for, whose constants and live gains are those of the spec and of the settings: held against a bound where one is proven.
package trial

import (
	"context"
	"fmt"
	"time"

	"gainwright/model"
	"gainwright/model/program"
)

// Options say how to run a trial.
type Options struct {
	Ticks  int    // in all; 0 is DefaultTicks
	Seed   uint64 // the same seed gives the same inputs
	Target Target // nil: the two programs alone
	// Unbroken leaves out what starts the controller over in the middle of a run, for targets that cannot.
	Unbroken bool
}

// DefaultTicks is the length of a trial where nothing else is asked for.
const DefaultTicks = 1_000_000

// Verify runs the directed, the random and the raw inputs. An error means that the trial could not be
// run, as with a target that fails; what it found is in the result.
func Verify(ctx context.Context, u *model.Unit, o Options) (*Result, error) {
	if o.Ticks <= 0 {
		o.Ticks = DefaultTicks
	}
	t := newTrial(u, o, (o.Ticks+len(kinds)-1)/len(kinds))
	for i, kind := range kinds {
		if o.Unbroken {
			kind.again = 0
		}
		from, to := o.Ticks*i/len(kinds), o.Ticks*(i+1)/len(kinds)
		k := t.begin(kind.name, kind.declared)
		for r := range kind.restarts {
			ticks := (to-from)*(r+1)/kind.restarts - (to-from)*r/kind.restarts
			if err := t.run(ctx, k, newGenerator(u, kind, o.Seed, r, ticks), ticks); err != nil {
				return nil, err
			}
		}
		t.end(k)
	}
	return t.result(), nil
}

// source gives the input record of the next tick.
type source interface{ next(record []int64) }

// trial is the machines and what they found so far.
type trial struct {
	u       *model.Unit
	options Options
	layout  Layout
	signals []signal
	integer *program.FixedMachine
	fed     *program.RealMachine // each section reads the integer program's own signals
	whole   *program.RealMachine // the raw inputs alone
	asked   *program.RealMachine // the same, with the constants that were asked for
	lo, hi  []int64              // certified, of each operation and then of each state

	integrals     []int // states that a restart may keep
	realIntegrals []int // those of the real programs

	coefs     []int64
	in        []float64
	realCoefs []float64
	askCoefs  []float64 // gain as set, times factor
	feed      []float64
	inScale   []scale
	coefScale []scale

	kinds   []*Kind
	watched []int       // signals to remember
	seen    [][]float64 // their values in units, tick by tick
	spent   [3]time.Duration
	ticks   int
}

// Parties of a trial, for their times.
const (
	integerParty = iota
	realParty
	targetParty
)

func newTrial(u *model.Unit, o Options, longest int) *trial {
	p := u.Integer
	t := &trial{u: u, options: o, layout: NewLayout(p), integer: program.NewFixedMachine(p), fed: program.NewRealMachine(u.Stored), whole: program.NewRealMachine(u.Stored), asked: program.NewRealMachine(u.Asked),
		coefs: make([]int64, len(p.Coefs)), in: make([]float64, len(p.Inputs)), realCoefs: make([]float64, len(p.Coefs)), askCoefs: make([]float64, len(p.Coefs)), feed: make([]float64, len(u.Stored.Ops))}
	t.integrals, _ = u.KeptIntegrals()
	for _, n := range t.integrals {
		t.realIntegrals = append(t.realIntegrals, p.States[n].Real)
	}
	for _, op := range p.Ops {
		t.lo, t.hi = append(t.lo, op.Lo), append(t.hi, op.Hi)
	}
	for _, s := range p.States {
		t.lo, t.hi = append(t.lo, s.Lo), append(t.hi, s.Hi)
	}
	for _, in := range p.Inputs {
		lo, hi := in.Type.Range()
		t.inScale = append(t.inScale, newScale(in.LSB, lo, hi))
	}
	for _, c := range p.Coefs {
		lo, hi := c.Type.Range()
		t.coefScale = append(t.coefScale, newScale(c.LSB, lo, hi))
	}
	t.signals = newSignals(u, longest)
	return t
}

// restart puts every machine at its start.
func (t *trial) restart() {
	t.integer.Start()
	t.fed.Start()
	t.whole.Start()
	t.asked.Start()
	for i, c := range t.u.Asked.Coefs {
		t.askCoefs[i] = times(t.u.Asked.Gains[c.Gain].Value, c.Factor)
	}
	for i, c := range t.u.Integer.Coefs {
		t.coefs[i] = c.Setter.Apply(c.Setter.XStart)
	}
}

func (t *trial) begin(name string, declared bool) *Kind {
	k := &Kind{Name: name, Declared: declared, Signals: make([]Signal, len(t.signals))}
	for i, s := range t.signals {
		k.Signals[i] = Signal{Name: s.name, Unit: s.unit, Local: s.local.difference(), Chain: s.chain.difference(), Asked: s.asked.difference()}
	}
	t.kinds = append(t.kinds, k)
	return k
}

// end turns sums into what a reader wants.
func (t *trial) end(k *Kind) {
	for i := range k.Signals {
		k.Signals[i].Local.finish()
		k.Signals[i].Chain.finish()
		k.Signals[i].Asked.finish()
	}
	t.ticks += k.Ticks
}

// run runs one kind of inputs from a restart.
func (t *trial) run(ctx context.Context, k *Kind, src source, ticks int) error {
	if ticks == 0 {
		return nil
	}
	t.restart()
	l := t.connect(ctx, k)
	for done := 0; done < ticks; {
		b, err := l.batch(ctx)
		if err != nil {
			l.finish()
			return err
		}
		b.begin(t, k.Restarts, done, min(batchTicks, ticks-done))
		for n := range b.ticks {
			src.next(b.record(n))
		}
		done += b.ticks
		start := time.Now()
		t.runInteger(k, b)
		between := time.Now()
		t.runReal(k, b)
		t.spent[integerParty] += between.Sub(start)
		t.spent[realParty] += time.Since(between)
		if !l.send(b) {
			break
		}
	}
	k.Ticks += ticks
	k.Restarts++
	cost, err := l.finish()
	t.spent[targetParty] += cost.CPU
	if err != nil {
		return fmt.Errorf("%s, %s inputs: %w", t.options.Target.Name(), k.Name, err)
	}
	return nil
}

func (t *trial) result() *Result {
	r := &Result{Controller: t.u.Integer.Name, Seed: t.options.Seed, Ticks: t.ticks}
	for _, k := range t.kinds {
		r.Kinds = append(r.Kinds, *k)
	}
	r.Speeds = []Speed{{"integer model, ranges checked", t.ticks, t.spent[integerParty]}, {"real programs, fed, whole and as asked, differences taken", t.ticks, t.spent[realParty]}}
	if t.options.Target != nil {
		r.Target = t.options.Target.Name()
		r.Speeds = append(r.Speeds, Speed{r.Target, t.ticks, t.spent[targetParty]})
	}
	return r
}
