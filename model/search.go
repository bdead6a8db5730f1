package model

import (
	"fmt"
	"maps"
	"math"
	"math/big"
	"slices"

	"gainwright/model/bound"
	"gainwright/model/cert"
	"gainwright/model/cost"
	"gainwright/model/finding"
	"gainwright/model/formats"
	"gainwright/model/interval"
	"gainwright/model/program"
	"gainwright/model/scale"
	"gainwright/model/target"
)

// Search is what the search of formats found.
type Search struct {
	Target  string
	Unit    target.Unit
	Rule    float64 // estimate for the formats that the rule gives
	Found   float64 // and for those taken
	Wide    float64 // and if every number took 32 bits; 0 on parts of 32 bits
	Tried   int
	Changed []string // what was changed against the rule, and what it saves
}

// mostSearched is how many operations a program may have to be searched; a larger one keeps the formats of the rule.
const mostSearched = 400

// mostEffort is what the proofs of a search may cost; those of an honest controller take a tenth.
const mostEffort bound.Effort = 300e6

// movable is what the search changes the fraction bits of: one group of values, or all free groups of a section together.
type movable struct {
	roots   []program.ID // one for each group
	section int          // whose groups they are; -1 for a single group
	to      []int        // changes that make a single group just fit a word
}

// movables lists the groups one by one, then the sections that have several.
func (u *Unit) movables(r scale.Result) (out []movable) {
	whole := make([]movable, len(u.Asked.Sections))
	for _, g := range r.Groups() {
		out = append(out, movable{[]program.ID{g.Root}, -1, []int{g.To16, g.To32}})
		if s := u.Asked.Ops[g.Root].Section; s >= 0 {
			whole[s].section = s
			whole[s].roots = append(whole[s].roots, g.Root)
		}
	}
	for _, m := range whole {
		if len(m.roots) > 1 {
			out = append(out, m)
		}
	}
	return out
}

// named lists the values that are moved.
func (u *Unit) named(m movable) string {
	if m.section >= 0 {
		return "all of " + u.Asked.Sections[m.section].Name
	}
	return u.Asked.Ops[m.roots[0]].Name
}

// worthTrying lists changes of fraction bits that can save something by the tables: those that make a rounding into or out of what is moved one of
// whole bytes, and those that make a group fit a narrower word.
func worthTrying(r scale.Result, moved movable) []int {
	var out []int
	add := func(m int) {
		if m != 0 && m >= -40 && m <= 16 && !slices.Contains(out, m) {
			out = append(out, m)
		}
	}
	p := r.Integer
	rest := func(shift int, sign int) {
		if over := shift % 8; over != 0 {
			add(-sign * over)
			add(sign * (8 - over))
		}
	}
	in := func(real program.ID) bool {
		return r.Root[real] != program.None && slices.Contains(moved.roots, r.Root[real])
	}
	for i := range p.Ops {
		op := &p.Ops[i]
		var shift int
		switch {
		case op.Kind == program.Round:
			shift = int(op.Shift)
		default:
			k, ok := doubled(op)
			if !ok {
				continue
			}
			shift = -k
		}
		at := op.Args[0]
		for p.Ops[at].Kind == program.Clamp && !in(p.Ops[at].Real) { // a limit counts like what it limits
			at = p.Ops[at].Args[0]
		}
		from, to := p.Ops[at].Real, op.Real
		if moved.section >= 0 && in(from) && in(to) {
			continue // they move together
		}
		if in(from) && shift > 0 {
			rest(shift, 1)
		}
		if to != from && in(to) && shift > 0 {
			rest(shift, -1)
		}
		for _, reader := range readersOf(p, program.ID(i)) { // a conversion for the sake of its reader's format
			if in(p.Ops[reader].Real) {
				rest(abs(shift), -1)
				rest(abs(shift), 1)
			}
		}
		if shift < 0 && in(from) {
			rest(-shift, -1)
		}
	}
	for i := range p.Ops { // what others are made finer for, only to meet it
		for _, a := range p.Ops[i].Args {
			if from := p.Ops[a].Real; !in(from) || in(p.Ops[i].Real) {
				continue
			}
			for _, b := range p.Ops[i].Args {
				if k, ok := doubled(&p.Ops[b]); ok && b != a {
					add(-k)
				}
			}
		}
	}
	for _, m := range moved.to {
		add(m)
	}
	return out
}

// doubled tells how many times an operation doubles its argument, if that is all it does.
func doubled(op *program.Op) (times int, ok bool) {
	if op.Kind != program.Scale || !op.K.IsInt() || op.K.Sign() <= 0 {
		return 0, false
	}
	times = op.K.Num().BitLen() - 1
	return times, op.K.Num().TrailingZeroBits() == uint(times)
}

func abs(x int) int { return max(x, -x) }

// readersOf lists the operations of the same section that read a value.
func readersOf(p *program.Program, id program.ID) []program.ID {
	var out []program.ID
	for i := int(id) + 1; i < len(p.Ops) && p.Ops[i].Section == p.Ops[id].Section; i++ {
		if slices.Contains(p.Ops[i].Args, id) {
			out = append(out, program.ID(i))
		}
	}
	return out
}

// searchFormats makes the formats of the rule finer where they miss the accuracy asked for, then looks for cheaper ones around them: one
// group of values or all of a section at a time, as long as something is saved and the accuracy asked for is kept. It ends where no change of a single
// format that is tried saves LeastGain or more; it does not claim that nothing cheaper exists.
func searchFormats(u *Unit, r scale.Request) (scale.Result, map[program.ID]int) {
	best := scale.Run(r)
	if best.Findings.Failed() {
		return best, nil
	}
	table := cost.For(r.Target.Name)
	known := table != nil
	if !known {
		table = cost.For(r.Target.Like)
	}
	s := &Search{Target: table.Target.Name, Unit: table.Target.Unit}
	start, effort := u.prove(table, best, math.Inf(1))
	if start == nil {
		return best, nil // the passes after this one say why
	}
	s.Rule = start.cost
	adjust := map[program.ID]int{}
	if len(u.Asked.Ops) <= mostSearched {
		var took bound.Effort
		best, adjust, start, took = u.refine(table, r, best, start, s)
		effort += took
	}
	u.proved = start
	if !known {
		return best, adjust
	}
	lowest := start.cost
	limits := u.limits(best, start.local)
	refused := map[string]bool{} // adjustments: what costs too much or does too little once does so later
search:
	for improved := true; improved && len(u.Asked.Ops) <= mostSearched; {
		improved = false
		for _, moved := range u.movables(best) {
			for _, m := range worthTrying(best, moved) {
				trial := r
				trial.Adjust = clone(adjust)
				for _, root := range moved.roots {
					trial.Adjust[root] += m
				}
				s.Tried++
				key := adjusted(trial.Adjust)
				if refused[key] {
					continue
				}
				refused[key] = true // or it is taken
				next, ok := tryScale(trial)
				if !ok {
					continue
				}
				if u.approximate(table, next.Integer) > lowest-LeastGain || !u.keepsConstants(next) {
					continue
				}
				if effort > mostEffort {
					break search
				}
				found, took := u.prove(table, next, lowest-LeastGain)
				effort += took
				if found == nil || !found.meets(limits) {
					continue
				}
				s.Changed = append(s.Changed, fmt.Sprintf("%s: %+d fraction bits, saves %.0f %s", u.named(moved), m, lowest-found.cost, s.Unit))
				adjust, lowest, best, improved = trial.Adjust, found.cost, next, true
				u.proved = found
				break
			}
		}
	}
	s.Found = lowest
	if table.Target.Word == 8 { // elsewhere a number of 16 bits lies in a register of 32 as well
		s.Wide = everywhere32(table, best.Integer)
	}
	u.Search = s
	return best, adjust
}

// adjusted is the text of an adjustment, the same for the same one.
func adjusted(m map[program.ID]int) string {
	var out []byte
	for _, id := range slices.Sorted(maps.Keys(m)) {
		if m[id] != 0 {
			out = fmt.Appendf(out, "%d:%d ", id, m[id])
		}
	}
	return string(out)
}

// LeastGain is what a change of formats must save, in cycles or instructions: less is within the tables' error.
const LeastGain = 4

// everywhere32 estimates what the program would cost if every number took 32 bits or more.
func everywhere32(t *cost.Table, p *program.Program) float64 {
	q := p.Clone()
	for i := range q.Ops {
		if op := &q.Ops[i]; op.Type == program.I16 && op.Kind != program.Input {
			op.Type = program.I32
		}
	}
	for i := range q.States {
		if s := &q.States[i]; s.Type == program.I16 {
			s.Type = program.I32
		}
	}
	total, _ := t.Estimate(t.Features(q))
	return total
}

func clone(m map[program.ID]int) map[program.ID]int {
	out := make(map[program.ID]int, len(m)+1)
	for k, v := range m {
		out[k] = v
	}
	return out
}

// tryScale is scale.Run for a format that may not exist at all.
func tryScale(r scale.Request) (res scale.Result, ok bool) {
	res = scale.Run(r)
	ok = true
	for _, f := range res.Findings { // whether a live gain vanishes depends on its value
		ok = ok && (f.Severity != finding.Error || f.Rule == "gain-vanishes")
	}
	return res, ok
}

// approximate estimates the cost from the real ranges, without proving integer ones.
func (u *Unit) approximate(t *cost.Table, p *program.Program) float64 {
	for i := range p.Ops {
		op := &p.Ops[i]
		switch {
		case op.Bool:
			op.Type = program.Bool
			op.Lo, op.Hi = op.Type.Range()
		case op.Kind == program.Input:
			op.Type = p.Inputs[op.Index].Type
			op.Lo, op.Hi = op.Type.Range()
		case op.Kind == program.Const:
			op.Lo, op.Hi = ends(op.K.Num(), op.K.Num())
			op.Type = atLeast16(program.Holding(op.Lo, op.Hi))
		case op.Kind == program.Coef:
			c := p.Coefs[op.Index].Setter
			a, b := c.Apply(c.XLo), c.Apply(c.XHi)
			op.Lo, op.Hi = min(a, b), max(a, b)
			op.Type = atLeast16(program.Holding(op.Lo, op.Hi))
		default:
			r := u.reach[op.Real]
			op.Lo, op.Hi = ends(countsOf(r.Lo, op.LSB, false), countsOf(r.Hi, op.LSB, true))
			op.Type = atLeast16(program.Holding(op.Lo, op.Hi))
		}
	}
	for i := range p.States {
		s := &p.States[i]
		if s.Type = program.Bool; !s.Bool {
			s.Type = program.I64
		}
	}
	for i := range p.Ops {
		if op := &p.Ops[i]; op.Kind == program.State && !p.States[op.Index].Bool {
			p.States[op.Index].Type = op.Type
		}
	}
	total, _ := t.Estimate(t.Features(p))
	return total
}

// ends are the bounds lo and hi of a range in counts, or +-2^61 where it goes further: a number of 64 bits that can still be rounded.
func ends(lo, hi *big.Int) (int64, int64) {
	const end = 1 << 61
	inside := func(x *big.Int) int64 {
		if !x.IsInt64() {
			return int64(x.Sign()) * end
		}
		return min(max(x.Int64(), -end), end)
	}
	return inside(lo), inside(hi)
}

// countsOf is how many times y goes into x, rounded down or up. The quotient is not reduced on the way.
func countsOf(x, y *big.Rat, up bool) *big.Int {
	n, d := new(big.Int).Mul(x.Num(), y.Denom()), new(big.Int).Mul(x.Denom(), y.Num())
	if !up {
		return n.Div(n, d)
	}
	n.Div(n.Neg(n), d)
	return n.Neg(n)
}

// limits is what each signal's rounding and each constant may be: the accuracy asked for, and elsewhere what the rule reaches
// or half a count more.
func (u *Unit) limits(base scale.Result, local cert.Errors) [][]*big.Rat {
	out := make([][]*big.Rat, len(base.Integer.Sections))
	for s := range out {
		out[s] = make([]*big.Rat, len(base.Integer.Sections[s].Signals))
		for j, sig := range base.Integer.Sections[s].Signals {
			if local.Signals[s][j] == nil {
				continue
			}
			lim := local.Signals[s][j].Size()
			if asked := formats.Wanted(u.Spec, u.Asked, sig.Name); asked != nil {
				lim = interval.Max(lim, asked)
			} else {
				lim = new(big.Rat).Add(lim, new(big.Rat).Mul(base.Integer.Ops[sig.Value].LSB, big.NewRat(1, 4)))
			}
			out[s][j] = lim
		}
	}
	return out
}

// proved is what a candidate does and costs, from proven ranges.
type proved struct {
	integer *program.Program
	ranges  *bound.Reach
	taps    []int
	cost    float64
	local   cert.Errors
}

// prove finds the ranges, types, cost and local bounds of a candidate; nil where it costs more than most, or its ranges are not finite or too
// wide. It tells the effort too.
func (u *Unit) prove(t *cost.Table, r scale.Result, most float64) (*proved, bound.Effort) {
	e, taps, err := bound.Ranges(r.Integer, false)
	if err != nil {
		return nil, e.Effort()
	}
	word := func(x interval.Range) (program.Type, bool) {
		if !interval.Ints(-1<<62, 1<<62).Holds(x) {
			return program.I64, false
		}
		return atLeast16(program.Holding(x.Lo.Num().Int64(), x.Hi.Num().Int64())), true
	}
	u.approximate(t, r.Integer) // types of inputs, switches and coefficients
	for i := range r.Integer.Ops {
		if op := &r.Integer.Ops[i]; !op.Bool && op.Kind != program.Input && op.Kind != program.Coef {
			var ok bool
			if op.Type, ok = word(e.Ranges[i]); !ok {
				return nil, e.Effort()
			}
			op.Lo, op.Hi = ends(e.Ranges[i].Lo.Num(), e.Ranges[i].Hi.Num())
		}
	}
	for n := range r.Integer.States {
		if s := &r.Integer.States[n]; !s.Bool {
			s.Type, _ = word(e.States[n])
		}
	}
	total, _ := t.Estimate(t.Features(r.Integer))
	if total > most {
		return nil, e.Effort()
	}
	local, took, err := bound.Differences(r.Stored, r.Integer, e.Ranges, false)
	took += e.Effort()
	if err != nil {
		return nil, took
	}
	return &proved{r.Integer, e, taps, total, local}, took
}

// keepsConstants tells whether each constant of a candidate is within the tolerance.
func (u *Unit) keepsConstants(r scale.Result) bool {
	for _, c := range r.Constants {
		asked, off := c.Asked, new(big.Rat).Sub(c.Stored, c.Limit.Inward(c.Asked))
		if c.Live { // its value may change and must not choose formats: half a count is held against its range
			asked, off = top(r.Integer.Gains, c.Name), new(big.Rat).Quo(c.LSB, big.NewRat(2, 1))
		}
		if asked.Sign() != 0 {
			off.Quo(off, asked)
			if off.Abs(off).Cmp(searchTolerance) > 0 {
				return false
			}
		}
	}
	return true
}

// meets tells whether a candidate keeps every limit.
func (p *proved) meets(limits [][]*big.Rat) bool {
	for s := range limits {
		for j, lim := range limits[s] {
			if got := p.local.Signals[s][j]; lim != nil && (got == nil || got.Size().Cmp(lim) > 0) {
				return false
			}
		}
	}
	return true
}

// top is the largest size of a live gain.
func top(gains []program.Gain, name string) *big.Rat {
	for _, g := range gains {
		if g.Name == name {
			return interval.Range{Lo: g.Lo, Hi: g.Hi}.Size()
		}
	}
	return new(big.Rat)
}

// searchTolerance is how far the search may let a constant be off: a fifth of what is warned about.
var searchTolerance = big.NewRat(1, 1000)
