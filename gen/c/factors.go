package c

import (
	"gainwright/model/program"
)

// factors are the two factors of a product of 32 bits, and the form that multiplies them:
//
//	16    two signed numbers of 16 bits
//	16p   the same, the second one not negative
//	17    17 bits and 16 bits: a difference of two numbers of 16 bits
//	32    32 bits and 16 bits
//	k     16 bits and a constant of 16 bits; small code does with 16 for it, which others share
//
// Small code takes 16 for 16p and 32 for 17 where that saves a function: see shares.
type factors struct {
	form          string
	product       program.ID
	first, second program.ID // second is None for a constant
	k             int64
}

// factorsOf finds the form of a product; turned asks for the negated product, which a product by a constant can
// give.
func (e *emitter) factorsOf(id program.ID, turned bool) (f factors, ok bool) {
	op := e.p.Ops[id]
	if !e.forms || op.Type != program.I32 || e.width(id) != program.I32 || e.p.Ops[op.Args[0]].Kind == program.Const {
		return f, false
	}
	f = factors{product: id, first: op.Args[0], second: program.None}
	var second program.FixedOp
	switch op.Kind {
	case program.Mul:
		f.second = op.Args[1]
		if turned || e.p.Ops[f.second].Kind == program.Const {
			return f, false
		}
		if e.swaps(f.first, f.second) {
			f.first, f.second = f.second, f.first
		}
		second = e.p.Ops[f.second]
	case program.Scale:
		f.k = op.K.Num().Int64()
		if _, moves := e.byteMove(id); moves || f.k >= -1 && f.k <= 1 {
			return f, false
		}
		if _, moves := e.wideMove(id); moves {
			return f, false
		}
		if turned {
			f.k = -f.k
		}
		second.Lo, second.Hi = f.k, f.k
	}
	switch first := e.p.Ops[f.first]; {
	case !inside(second, program.I16) || first.Type.Bits() > 32:
		return f, false
	case !inside(first, program.I16) && first.Lo >= -1<<16 && first.Hi < 1<<16:
		f.form = "17"
	case !inside(first, program.I16):
		f.form = "32"
	case op.Kind == program.Scale && (e.options.Prefer == Speed || f.k > 0 && f.k < 256):
		f.form = "k"
	case second.Lo >= 0:
		f.form = "16p"
	default:
		f.form = "16"
	}
	switch {
	case f.form == "16p" && e.shares.signed:
		f.form = "16"
	case f.form == "17" && e.shares.wide:
		f.form = "32"
	}
	return f, true
}

// shares says which multiplications of small code do the work of others, which then need no function.
type shares struct {
	signed bool // 16 that of 16p
	wide   bool // 32 that of 17
	sums   bool // mac16 that of mul16, added to 0
}

// findShares counts the products of each form. A function of its own must have two callers to be worth its place.
func (e *emitter) findShares() {
	if e.options.Prefer != Size {
		return
	}
	forms := map[string]int{}
	for i, op := range e.p.Ops {
		if op.Kind == program.Mul || op.Kind == program.Scale {
			if f, ok := e.factorsOf(program.ID(i), false); ok && e.uses[i].live {
				forms[f.form]++
			}
		}
	}
	e.shares.signed = forms["16"] > 0
	e.shares.wide = forms["32"] > 1
}

// findSums tells mac16 to do for mul16 too, where some product is added to a sum by it.
func (e *emitter) findSums() {
	sums, all := 0, 0
	for i, op := range e.p.Ops {
		if op.Kind != program.Add && op.Kind != program.Sub || !e.uses[i].live {
			continue
		}
		for _, a := range op.Args {
			if kind := e.p.Ops[a].Kind; e.inline[a] && (kind == program.Mul || kind == program.Scale) && e.fuses(program.ID(i), a) {
				if f, _ := e.factorsOf(a, op.Kind == program.Sub); f.form == "16" {
					sums++
				}
			}
		}
	}
	for i, op := range e.p.Ops {
		if op.Kind == program.Mul || op.Kind == program.Scale {
			if f, ok := e.factorsOf(program.ID(i), false); ok && e.uses[i].live && f.form == "16" {
				all++
			}
		}
	}
	e.shares.sums = e.options.Prefer == Size && sums > 0 && all > 1
}

// swaps tells whether b makes the better first factor: the first one may be wide or negative.
func (e *emitter) swaps(a, b program.ID) bool {
	x, y := e.p.Ops[a], e.p.Ops[b]
	if !inside(y, program.I16) {
		return true
	}
	return inside(x, program.I16) && x.Lo >= 0 && (y.Lo < 0 || x.Hi < y.Hi)
}

// times is the call that multiplies, and adds to a sum where there is one.
func (e *emitter) times(f factors, sum string) string {
	kind, before := "mul", ""
	if sum == "" && f.form == "16" && e.shares.sums {
		sum = "0"
	}
	if sum != "" {
		kind, before = "mac", sum+", "
	}
	if f.form == "k" {
		return e.scaled(f, kind) + "(" + before + e.argument(f.first, program.I16) + ")"
	}
	w, second := program.I16, ""
	if f.form == "17" || f.form == "32" {
		w = program.I32
	}
	if f.second == program.None {
		second = e.factor(f.product, program.I16)
		if f.k != e.p.Ops[f.product].K.Num().Int64() {
			second = "-" + second
		}
	} else {
		second = e.argument(f.second, program.I16)
	}
	name := e.primitive(primitive{kind: kind + f.form})
	e.calls[name]++
	return name + "(" + before + e.argument(f.first, w) + ", " + second + ")"
}

// scaled is a multiplication by one constant as a function, which may add the product to a sum.
type scaled struct {
	name, kind, factor string
	k                  int64
}

// scaled returns the name of the function.
func (e *emitter) scaled(f factors, kind string) string {
	for _, s := range e.scales {
		if s.kind == kind && s.k == f.k {
			return s.name
		}
	}
	op := e.p.Ops[f.product]
	s := scaled{name: e.name + "_" + kind + "_" + op.Name, kind: kind, factor: e.factor(f.product, program.I16), k: f.k}
	if f.k != op.K.Num().Int64() {
		s.factor = "-" + s.factor
	}
	e.scales = append(e.scales, s)
	return s.name
}
