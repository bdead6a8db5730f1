package steps

import (
	"fmt"
	"math"
	"math/big"
	"slices"
	"strings"

	"gainwright/model/interval"
	"gainwright/model/program"
)

// function is one that a formula may call.
type function struct {
	name, doc string
	args      []string // names of its values
	more      bool     // the last one may be repeated
	alone     []int    // values that have no unit; all others have the unit of the result
	check     func(r *reader, e *expr) *expr
	fold      func(k []*big.Rat) *big.Rat
	emit      func(w *writer, e *expr) program.ID
}

// functions are those that a formula may call. To add one, write its row: what it means for numbers, and its operations.
var functions []*function

func init() {
	functions = []*function{
		{name: "min", doc: "the smallest of them", args: []string{"a", "b"}, more: true,
			fold: func(k []*big.Rat) *big.Rat { return slices.MinFunc(k, (*big.Rat).Cmp) },
			emit: func(w *writer, e *expr) program.ID { return w.extreme(program.Min, e, "least") }},
		{name: "max", doc: "the largest of them", args: []string{"a", "b"}, more: true,
			fold: func(k []*big.Rat) *big.Rat { return slices.MaxFunc(k, (*big.Rat).Cmp) },
			emit: func(w *writer, e *expr) program.ID { return w.extreme(program.Max, e, "largest") }},
		{name: "abs", doc: "its size, without the sign", args: []string{"a"},
			fold: func(k []*big.Rat) *big.Rat { return new(big.Rat).Abs(k[0]) },
			emit: func(w *writer, e *expr) program.ID { return w.same(program.Abs, e, "size", w.number(e.args[0])) }},
		{name: "sqrt", doc: "its square root; 0 of what is below 0", args: []string{"a"},
			check: checkRoot,
			fold:  func(k []*big.Rat) *big.Rat { root, _ := exactRoot(k[0]); return root },
			emit: func(w *writer, e *expr) program.ID {
				return w.Root(w.number(e.args[0]), w.spelt(e), w.key+"_root", clip(e.String()))
			}},
		{name: "clamp", doc: "x limited to low and high; high where low lies above it", args: []string{"x", "low", "high"},
			check: checkClamp,
			fold:  func(k []*big.Rat) *big.Rat { return interval.Min(interval.Max(k[0], k[1]), k[2]) },
			emit: func(w *writer, e *expr) program.ID {
				return w.same(program.Clamp, e, "limited", w.number(e.args[0]), w.number(e.args[1]), w.number(e.args[2]))
			}},
		{name: "move", doc: "from + share * (to - from), never outside the two; share is 0 to 1, and limited to that", args: []string{"from", "to", "share"}, alone: []int{2},
			check: checkMove,
			fold: func(k []*big.Rat) *big.Rat {
				way := new(big.Rat).Sub(k[1], k[0])
				return way.Add(way.Mul(way, k[2]), k[0])
			},
			emit: (*writer).move},
	}
}

func functionNamed(name string) *function {
	for _, f := range functions {
		if f.name == name {
			return f
		}
	}
	return nil
}

// Functions says how each function of formulas is called, and what it yields.
func Functions() (calls, docs []string) {
	for _, f := range functions {
		calls, docs = append(calls, f.call()), append(docs, f.doc)
	}
	return calls, docs
}

func (f *function) call() string {
	more := ""
	if f.more {
		more = ", ..."
	}
	return f.name + "(" + strings.Join(f.args, ", ") + more + ")"
}

// alike tells whether a value has the unit of the result.
func (f *function) alike(arg int) bool { return !slices.Contains(f.alone, arg) }

func (r *reader) call(e *expr) *expr {
	f := e.function()
	if f == nil {
		var names []string
		for _, f := range functions {
			names = append(names, f.name)
		}
		remedy := functionMeant(e.Text, e.args, names)
		return r.wrong(e.At, "unknown-function", remedy, "%q is no function here, expected one of %s", e.Text, strings.Join(names, ", "))
	}
	if n := len(e.args); n < len(f.args) || n > len(f.args) && !f.more {
		return r.wrong(e.At, "wrong-arguments", f.call(), "%s has %s, %s takes %s", clip(e.String()), values(n), f.name, values(len(f.args)))
	}
	r.numbers(e, e.args...)
	var group []*expr
	var k []*big.Rat
	for i, a := range e.args {
		if f.alike(i) {
			group = append(group, a)
		} else if a.bare {
			a.take(unitOf(""), false)
		} else if !a.wild && !sameUnit(a.unit, unitOf("")) {
			return r.wrong(a.First, "unit-mismatch", "a value without a unit, such as 0.1", "%s of %s is in %s, a number without a unit is expected", f.args[i], f.name, r.spelt(a))
		}
		if a.k != nil {
			k = append(k, a.k)
		}
	}
	r.alike(e, group)
	if e.wild {
		return e
	}
	if f.check != nil {
		if bad := f.check(r, e); bad != nil {
			return bad
		}
	}
	if len(k) == len(e.args) {
		e.k = f.fold(k)
	}
	return e
}

func values(n int) string {
	if n == 1 {
		return "1 value"
	}
	return fmt.Sprintf("%d values", n)
}

// checkRoot gives a root its unit, and refuses numbers whose root is none.
func checkRoot(r *reader, e *expr) *expr {
	a := e.args[0]
	unit, ok := a.unit.Root()
	if !ok {
		return r.wrong(a.First, "unit-of-a-root", "a value in a square, such as x * x", "%s is in %s, which is the square of no unit", clip(a.String()), r.spelt(a))
	}
	if a.k != nil {
		if _, exact := exactRoot(a.k); !exact {
			f, _ := a.k.Float64()
			return r.wrong(a.First, "root-of-a-number", strings.TrimSpace(fmt.Sprintf("%.10g %s", math.Sqrt(max(f, 0)), unit)), "the root of %s is no number with an end: it is to be written as one", a)
		}
	}
	e.unit = unit
	return nil
}

// exactRoot is the square root of a number, where that is a number itself.
func exactRoot(k *big.Rat) (root *big.Rat, exact bool) {
	if k.Sign() < 0 {
		return new(big.Rat), true
	}
	p, q := new(big.Int).Sqrt(k.Num()), new(big.Int).Sqrt(k.Denom())
	root = new(big.Rat).SetFrac(p, q)
	return root, new(big.Rat).Mul(root, root).Cmp(k) == 0
}

// checkClamp refuses limits that are upside down.
func checkClamp(r *reader, e *expr) *expr {
	lo, hi := e.args[1].k, e.args[2].k
	if lo != nil && hi != nil && lo.Cmp(hi) >= 0 {
		return r.wrong(e.args[1].First, "range-upside-down", fmt.Sprintf("clamp(%s, %s, %s)", clip(e.args[0].String()), e.args[2], e.args[1]), "the low end %s is not below the high end %s", e.args[1], e.args[2])
	}
	return nil
}

// checkMove refuses a share outside 0 to 1.
func checkMove(r *reader, e *expr) *expr {
	share := e.args[2]
	outside := func(k *big.Rat) bool { return k.Sign() < 0 || k.Cmp(one) > 0 }
	if share.k != nil && outside(share.k) {
		return r.wrong(share.First, "share-outside", "a share from 0 to 1, such as 0.1", "the share is %s, 0 to 1 is expected", share)
	}
	if share.own != nil && (outside(share.own.tune.Lo) || outside(share.own.tune.Hi)) {
		t := share.own.tune
		r.findings.Add(gainOutside(t, fmt.Sprintf("the share of a move is 0 to 1, which the tuning range [%s, %s] goes beyond", decimal(t.Lo), decimal(t.Hi)),
			fmt.Sprintf("[%s, %s]", decimal(interval.Max(t.Lo, new(big.Rat))), decimal(interval.Min(t.Hi, one)))))
	}
	return nil
}
