// Package campaign sends random controllers through the whole chain and looks for whatever must not be:
// a compiler that panics, takes long or is refused by its own checker; a value outside its certified range, a
// difference over its bound; C that does not compile without a word, has undefined behaviour or gives other
// bits; Go that does not build or gives other bits. Each failure comes back with the smallest spec that still shows it.
package campaign

import (
	"cmp"
	"context"
	"fmt"
	"go/parser"
	"go/token"
	"maps"
	"runtime"
	"slices"
	"strings"
	"sync"
	"time"

	"gainwright/gen/c"
	"gainwright/gen/golang"
	"gainwright/gen/target"
	"gainwright/model"
	"gainwright/model/arbitrary"
	"gainwright/model/cert"
	"gainwright/model/finding"
	"gainwright/model/tier"
	"gainwright/model/trial"
)

// Options say how large a campaign is.
type Options struct {
	First uint64 // seed of the first spec; the others follow
	Specs int
	Ticks int // of each spec's trial
	Batch int // controllers in one translation unit; 0: no C is compiled
	// GoOf is how many batches there are to each whose emitted Go is built and run too, the first among them; 0 is 1.
	GoOf int
	// Tries is how many smaller specs are tried for each failure.
	Tries int
	// Each is told of each failure as it is found; it may be nil.
	Each func(Failure)
}

// Failure is something that must not be.
type Failure struct {
	Seed uint64
	What string // one of a few words: panic, slow, not-proven, range, local, chain, asked, bits, compiler, trial, go
	Why  string
	Spec *arbitrary.Spec // the smallest that shows it
}

// Result is what a campaign found.
type Result struct {
	Specs, Accepted int
	Refused         map[string]int    // specs by the rule of the first error
	Example         map[string]string // for each rule
	Kinds           map[string]int    // steps of accepted specs, by kind
	Failures        []Failure
	Compared        int // values of C and integer program
	InGo            int // values of the emitted Go and integer program
	Ticks           int
	Judged, Unheld  int           // signals held against a bound, and those that float64 is too coarse for
	Around, Asked   int           // of those judged: around a circle, and against the program that was asked for
	Slowest         time.Duration // compile
	SlowestSeed     uint64
}

// slow is what the whole check of a spec may take.
const slow = 2 * time.Second

// patience is how long smaller specs are looked for, for one failure.
const patience = 20 * time.Second

// Run runs a campaign.
func Run(ctx context.Context, o Options) (*Result, error) {
	r := &Result{Refused: map[string]int{}, Example: map[string]string{}, Kinds: map[string]int{}}
	size := cmp.Or(o.Batch, 50)
	for at := 0; at < o.Specs && ctx.Err() == nil; at += size {
		withGo := o.Batch > 0 && at/size%max(o.GoOf, 1) == 0
		if err := r.batch(ctx, o, o.First+uint64(at), min(size, o.Specs-at), withGo); err != nil {
			return r, err
		}
	}
	return r, ctx.Err()
}

// candidate is one spec on its way.
type candidate struct {
	seed  uint64
	spec  *arbitrary.Spec
	unit  *model.Unit
	took  time.Duration
	fails *Failure
	found *trial.Result
}

func (r *Result) batch(ctx context.Context, o Options, first uint64, specs int, withGo bool) error {
	all := make([]*candidate, specs)
	each(specs, func(i int) {
		seed := first + uint64(i)
		c := &candidate{seed: seed, spec: arbitrary.New(fmt.Sprintf("r%d", seed), seed)}
		c.unit, c.took, c.fails = compile(c.spec.Name+".yaml", c.spec.Text())
		if c.fails == nil && c.unit.OK() {
			c.fails = emit(c.unit)
		}
		all[i] = c
	})
	good := sound(all)
	host := func(string) trial.Target { return nil }
	if o.Batch > 0 && len(good) > 0 {
		b, err := target.NewBatch(ctx, units(good))
		if err != nil {
			if ctx.Err() != nil {
				return ctx.Err()
			}
			each(len(good), func(i int) { good[i].fails = compileAlone(ctx, good[i].unit) })
			good = sound(good)
			if b, err = target.NewBatch(ctx, units(good)); err != nil {
				return fmt.Errorf("controllers that compile alone do not in one translation unit: %w", err)
			}
		}
		defer b.Close()
		host = func(name string) trial.Target { return b.Host(name) }
	}
	each(len(good), func(i int) {
		c := good[i]
		c.found, c.fails = run(ctx, c.unit, host(c.unit.Spec.Name), o.Ticks, c.seed)
	})
	if withGo && ctx.Err() == nil {
		if err := r.inGo(ctx, good, o.Ticks); err != nil {
			return err
		}
	}
	if ctx.Err() != nil {
		return ctx.Err()
	}
	for _, c := range all {
		r.count(c)
		if c.fails != nil {
			c.fails.Seed, c.fails.Spec = c.seed, c.spec
			r.Failures = append(r.Failures, r.shrunk(ctx, o, *c.fails))
			if o.Each != nil {
				o.Each(r.Failures[len(r.Failures)-1])
			}
		}
	}
	return nil
}

// sound are those that nothing is wrong with so far.
func sound(all []*candidate) (good []*candidate) {
	for _, c := range all {
		if c.fails == nil && c.unit.OK() {
			good = append(good, c)
		}
	}
	return good
}

func units(of []*candidate) (list []*model.Unit) {
	for _, c := range of {
		list = append(list, c.unit)
	}
	return list
}

// goTarget is the emitted Go of a controller.
type goTarget struct{ trial.Target }

// Name says what runs.
func (goTarget) Name() string { return "the emitted Go" }

// inGo holds the emitted Go against the integer program as well.
func (r *Result) inGo(ctx context.Context, good []*candidate, ticks int) error {
	left := sound(good)
	if len(left) == 0 {
		return nil
	}
	b, err := target.NewGoBatch(ctx, units(left))
	if err != nil {
		if ctx.Err() != nil {
			return ctx.Err()
		}
		return fmt.Errorf("seeds %d to %d: %w", left[0].seed, left[len(left)-1].seed, err)
	}
	defer b.Close()
	found := make([]*trial.Result, len(left))
	each(len(left), func(i int) {
		c := left[i]
		found[i], c.fails = run(ctx, c.unit, goTarget{b.Host(c.unit.Spec.Name)}, max(ticks/4, 1), c.seed)
	})
	for _, f := range found {
		if f != nil {
			for _, k := range f.Kinds {
				r.InGo += k.Same.Compared
			}
		}
	}
	return nil
}

// each calls f for 0 to n-1, as many at a time as there are processors.
func each(n int, f func(i int)) {
	var wait sync.WaitGroup
	next := make(chan int)
	for range runtime.GOMAXPROCS(0) {
		wait.Go(func() {
			for i := range next {
				f(i)
			}
		})
	}
	for i := range n {
		next <- i
	}
	close(next)
	wait.Wait()
}

// guarded turns a panic into a failure.
func guarded(fails **Failure) {
	if p := recover(); p != nil {
		stack := make([]byte, 1<<14)
		stack = stack[:runtime.Stack(stack, false)]
		*fails = &Failure{What: "panic", Why: fmt.Sprintf("%v\n%s", p, stack)}
	}
}

func compile(file string, text []byte) (u *model.Unit, took time.Duration, fails *Failure) {
	defer guarded(&fails)
	runtime.LockOSThread()
	defer runtime.UnlockOSThread()
	for try := 0; try < 3 && (try == 0 || took > slow); try++ { // a busy machine makes one thread slower: the least counts
		start := tier.Processor()
		u = model.Compile(file, text)
		if t := tier.Processor() - start; try == 0 || t < took {
			took = t
		}
	}
	for _, f := range u.Findings {
		if f.Rule == "not-proven" {
			return u, took, &Failure{What: f.Rule, Why: f.Message}
		}
	}
	if took > slow {
		return u, took, &Failure{What: "slow", Why: fmt.Sprintf("the compiler takes %v of processor time", took)}
	}
	if u.OK() {
		if err := cert.CheckAsked(u.Asked, u.Stored, u.Integer, u.Certificate); err != nil {
			return u, took, &Failure{What: "not-proven", Why: err.Error()}
		}
	} else if !u.Findings.Failed() {
		return u, took, &Failure{What: "panic", Why: "neither code nor a finding"}
	}
	return u, took, nil
}

// emit writes all texts and parses the Go.
func emit(u *model.Unit) (fails *Failure) {
	defer guarded(&fails)
	if first, again := c.Header(u), c.Header(u); string(first) != string(again) {
		return &Failure{What: "bytes", Why: "the header differs from one time to the next"}
	}
	for name, text := range golang.Package(u) {
		if strings.HasSuffix(name, ".go") {
			if _, err := parser.ParseFile(token.NewFileSet(), name, text, parser.SkipObjectResolution); err != nil {
				return &Failure{What: "go", Why: err.Error()}
			}
		}
	}
	return nil
}

func compileAlone(ctx context.Context, u *model.Unit) *Failure {
	b, err := target.NewBatch(ctx, []*model.Unit{u})
	if err != nil {
		return &Failure{What: "compiler", Why: err.Error()}
	}
	b.Close()
	return nil
}

// run holds C, integer program and real program against each other and against what was proven.
func run(ctx context.Context, u *model.Unit, host trial.Target, ticks int, seed uint64) (found *trial.Result, fails *Failure) {
	defer guarded(&fails)
	found, err := trial.Verify(ctx, u, trial.Options{Ticks: ticks, Seed: seed, Target: host})
	if err != nil {
		return nil, &Failure{What: "trial", Why: err.Error()}
	}
	if !found.OK() {
		for _, k := range found.Kinds {
			for _, f := range k.Faults {
				return found, &Failure{What: f.Rule, Why: f.String()}
			}
		}
		return found, &Failure{What: "trial", Why: "not OK, without a fault"}
	}
	return found, nil
}

func (r *Result) count(c *candidate) {
	r.Specs++
	if c.took > r.Slowest {
		r.Slowest, r.SlowestSeed = c.took, c.seed
	}
	if c.unit == nil || !c.unit.OK() {
		rule := "panic"
		if c.unit != nil {
			if at := slices.IndexFunc(c.unit.Findings, func(f finding.Finding) bool { return f.Severity == finding.Error }); at >= 0 {
				rule = c.unit.Findings[at].Rule
				r.Example[rule] = fmt.Sprintf("seed %d: %v", c.seed, c.unit.Findings[at])
			}
		}
		r.Refused[rule]++
		return
	}
	r.Accepted++
	for _, s := range c.spec.Steps {
		r.Kinds[s.Get("kind")]++
	}
	if c.found == nil {
		return
	}
	r.Ticks += c.found.Ticks
	for _, k := range c.found.Kinds {
		r.Compared += k.Same.Compared
		for _, s := range k.Signals {
			for i, d := range []trial.Difference{s.Local, s.Chain, s.Asked} {
				switch {
				case d.Claimed && d.Unjudged == "":
					r.Judged++
					if d.Turn != 0 {
						r.Around++
					}
					if i == 2 {
						r.Asked++
					}
				case d.Claimed:
					r.Unheld++
				}
			}
		}
	}
}

// shrunk looks for a smaller spec that fails in the same way.
func (r *Result) shrunk(ctx context.Context, o Options, f Failure) Failure {
	last := f
	until := time.Now().Add(patience)
	small := f.Spec.Shrink(func(s *arbitrary.Spec) bool {
		if ctx.Err() != nil || time.Now().After(until) {
			return false
		}
		_, again := Check(ctx, s.Name+".yaml", s.Text(), o.Ticks, f.Seed, f.What == "bits" || f.What == "compiler" || f.What == "trial")
		if again == nil || again.What != f.What || f.What == "panic" && firstLine(again.Why) != firstLine(f.Why) {
			return false
		}
		last = *again
		return true
	}, o.Tries)
	last.Seed, last.Spec = f.Seed, small
	return last
}

func firstLine(text string) string {
	line, _, _ := strings.Cut(text, "\n")
	return line
}

// Check sends one spec through the chain, with compiled C and Go or without. The unit is there unless the compiler panicked.
func Check(ctx context.Context, file string, text []byte, ticks int, seed uint64, compiled bool) (*model.Unit, *Failure) {
	u, _, fails := compile(file, text)
	if fails != nil || !u.OK() {
		return u, fails
	}
	if fails := emit(u); fails != nil {
		return u, fails
	}
	if !compiled {
		_, fails = run(ctx, u, nil, ticks, seed)
		return u, fails
	}
	b, err := target.NewBatch(ctx, []*model.Unit{u})
	if err != nil {
		return u, &Failure{What: "compiler", Why: err.Error()}
	}
	defer b.Close()
	if _, fails = run(ctx, u, b.Host(u.Spec.Name), ticks, seed); fails != nil {
		return u, fails
	}
	g, err := target.NewGoBatch(ctx, []*model.Unit{u})
	if err != nil {
		return u, &Failure{What: "go", Why: err.Error()}
	}
	defer g.Close()
	_, fails = run(ctx, u, goTarget{g.Host(u.Spec.Name)}, ticks, seed)
	return u, fails
}

// String is the text form, for a person.
func (r *Result) String() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%d of %d specs accepted (%.1f %%); %d ticks, %d values of C compared and %d of Go; %d bounds held against the real programs, %d of them around a circle and %d against the constants as asked, %d beyond float64; slowest compile %v (seed %d)\n",
		r.Accepted, r.Specs, 100*float64(r.Accepted)/float64(max(r.Specs, 1)), r.Ticks, r.Compared, r.InGo, r.Judged, r.Around, r.Asked, r.Unheld, r.Slowest.Round(time.Millisecond), r.SlowestSeed)
	list := func(title string, counts map[string]int, more map[string]string) {
		keys := slices.SortedFunc(maps.Keys(counts), func(k, l string) int { return cmp.Or(cmp.Compare(counts[l], counts[k]), cmp.Compare(k, l)) })
		fmt.Fprintf(&b, "%s\n", title)
		for _, k := range keys {
			fmt.Fprintf(&b, "  %6d %s  %s\n", counts[k], k, more[k])
		}
	}
	list("refused", r.Refused, r.Example)
	list("steps", r.Kinds, nil)
	return b.String()
}
