package golang

import (
	"math/big"
	"slices"
	"testing"

	"gainwright/model"
	"gainwright/model/program"
)

// everyKind uses each operation, each type, each form of a state's change, and names that Go would take amiss.
func everyKind() *model.Unit {
	b := newBuilder("every_kind")
	b.begin("inputs")
	tilt := b.input("tilt", program.I16, 14)
	side := b.input("side", program.I16, 14)
	up := b.input("up", program.I16, 14)
	on := b.input("on", program.Bool, 0)
	b.input("spare", program.U8, 0)
	level := b.input("level", program.U16, 14)
	turned := b.scale("tilt", -1, 0, program.I32, 14, tilt)
	b.signal("tilt", turned, 0, nil)
	b.signal("side", b.scale("side", 1, 0, program.I16, 14, side), 0, nil)
	b.signal("up", b.scale("up", 1, 0, program.I16, 14, up), 0, nil)
	on = b.op(program.Scale, "on", program.Bool, 0, func(r *program.RealOp, i *program.FixedOp) { r.K, i.K = big.NewRat(1, 1), big.NewRat(1, 1) }, on)
	b.signal("on", on, 0, nil)
	level = b.scale("level", 1, 0, program.I32, 14, level)
	b.signal("level", level, 0, nil)
	n, first := b.state("first_tick", program.Bool, 0, 1)
	b.update(n, b.constant("done", 0, program.Bool, 0), nil, nil, nil)
	b.signal("first_tick", first, 0, nil)

	b.begin("range") // a keyword of Go
	high := b.logic(program.Less, "max", b.constant("type", 0.25, program.I16, 14), turned)
	low := b.logic(program.LessEqual, "min", turned, b.constant("func", -0.5, program.I16, 14))
	out := b.logic(program.Or, "in", high, low)
	calm := b.logic(program.Not, "s", out)
	open := b.logic(program.And, "go", calm, on)
	either := b.op(program.Select, "true", program.Bool, 0, nil, open, first, b.logic(program.Not, "not_on", on))
	zero := b.constant("zero", 0, program.I16, 0)
	n, counted := b.state("bit", program.I16, 0, 3)
	more := b.op(program.Min, "more", program.I16, 0, nil, b.op(program.Add, "a_1", program.I32, 0, nil, counted, b.constant("a1", 1, program.I16, 0)), b.constant("most", 300, program.I16, 0))
	b.update(n, more, &open, &out, &zero)
	n, held := b.state("held", program.I32, 14, 0)
	b.update(n, turned, &out, nil, nil)
	n, last := b.state("last", program.I8, 0, -7)
	b.update(n, b.op(program.Max, "float64", program.I8, 0, nil, last, b.constant("some", 5, program.I8, 0)), nil, &either, &last)
	plus := b.op(program.Add, "n", program.I16, 0, nil, b.op(program.Scale, "as_number", program.I8, 0, func(r *program.RealOp, i *program.FixedOp) { r.K, i.K = big.NewRat(3, 1), big.NewRat(3, 1) }, open), more)
	b.op(program.Sub, "nobody_reads_this", program.I32, 0, nil, plus, more)
	b.signal("range", plus, 0, nil)
	b.signal("range.open", open, 0, nil)
	b.signal("range_open", either, 0, nil)
	b.signal("range.held", held, 0, nil)
	b.signal("range.last", last, 0, nil)

	b.begin("step") // a method of State
	table := arctan()
	angle := b.op(program.Angle, "arctan", program.I32, 16, func(_ *program.RealOp, i *program.FixedOp) { i.Arctan, i.Lo, i.Hi = table, -32768, 32768 }, side, up)
	turn := big.NewRat(1, 1)
	n, before := b.state("heading", program.I16, 16, 0.125)
	moved := b.op(program.Add, "wrap32", program.I32, 16, nil, before, b.scale("quarter", -0.25, 2, program.I32, 16, turned))
	b.u.Integer.Ops[moved.integer].Lo, b.u.Integer.Ops[moved.integer].Hi = -90000, 90000
	heading := b.op(program.Wrap, "math", program.I16, 16, func(r *program.RealOp, i *program.FixedOp) { r.K, i.K = turn, big.NewRat(65536, 1) }, moved)
	b.update(n, heading, nil, nil, nil)
	b.signal("step", b.scale("step", 1, 0, program.I32, 16, angle), 20.5/65536, turn)
	b.signal("step.heading", heading, 0, turn)

	b.begin("mix")
	gain := b.gain("kp")
	n, smooth := b.state("smooth", program.I32, 24, 0)
	fine := b.scale("fine", 1, 10, program.I32, 24, turned)
	diff := b.op(program.Sub, "diff", program.I64, 24, nil, fine, smooth)
	step := b.round(b.scale("share_wide", 13.0/256, 8, program.I64, 32, diff), "share", program.I32, 8)
	next := b.op(program.Add, "sum", program.I64, 24, nil, smooth, step)
	kept := b.op(program.Clamp, "limited", program.I32, 24, nil, next, b.constant("lo", -1.5, program.I32, 24), b.constant("hi", 1.75, program.I32, 24))
	b.update(n, kept, nil, &first, &fine)
	size := b.op(program.Abs, "size", program.I32, 14, nil, b.round(kept, "coarse", program.I32, 10))
	product := b.op(program.Mul, "product", program.I32, 22, func(_ *program.RealOp, i *program.FixedOp) { i.Lo, i.Hi = -1<<26, 1<<26 }, gain, size)
	chosen := b.op(program.Select, "chosen", program.I32, 14, nil, on, b.round(product, "chosen_on", program.I32, 8), b.constant("rest", 0.125, program.I16, 14))
	far := b.op(program.Clamp, "far", program.I32, 14, nil, level, b.constant("nearest", 0.5, program.I16, 14), b.constant("furthest", 2, program.I32, 14))
	ratio := b.op(program.Quotient, "ratio", program.I32, 0, func(_ *program.RealOp, i *program.FixedOp) { i.Lo, i.Hi = -4, 4 }, turned, far)
	least := b.op(program.Min, "least", program.I32, 14, nil, chosen, level)
	b.signal("mix", least, 0.002, nil)
	rooted := b.op(program.Root, "root32", program.I16, 7, func(_ *program.RealOp, i *program.FixedOp) { i.Lo, i.Hi = 0, 182 }, turned)
	b.signal("mix.root", b.scale("rooted", 1, 0, program.I16, 7, rooted), 0.5/128, nil)
	points := []program.Point{{X: big.NewRat(-1, 1), Y: big.NewRat(1, 2)}, {X: big.NewRat(-1, 8), Y: new(big.Rat)}, {X: big.NewRat(5, 4), Y: big.NewRat(-3, 4)}}
	curve := &program.Curve{X: []int64{-16384, -2048, 20480}, Y: []int64{8192, 0, -12288}, Slope: []int64{-18725, -17873}, Shift: 15, MaxError: big.NewRat(1, 1)}
	look := func(r *program.RealOp, i *program.FixedOp) {
		r.Points, i.Curve, i.Lo, i.Hi = points, curve, -12288, 8192
	}
	looked := b.op(program.Table, "look32", program.I16, 14, look, turned)
	b.signal("mix.look", b.scale("looked", 1, 0, program.I16, 14, looked), 1.1/16384, nil)
	b.signal("mix.ratio", ratio, 0.51, nil)
	b.output("drive", least, program.I32, 14)
	b.output("busy", open, program.I8, 0)
	return b.u
}

// bare has no gain, no state and one signal.
func bare() *model.Unit {
	b := newBuilder("math")
	b.begin("inputs")
	x := b.input("x", program.I8, 3)
	b.signal("x", b.scale("x", 1, 0, program.I8, 3, x), 0, nil)
	b.output("y", x, program.I8, 3)
	return b.u
}

// TestEveryKindHasAText: but for what is written where it is used, and what is none of the dialect.
func TestEveryKindHasAText(t *testing.T) {
	inPlace := map[program.Kind]bool{program.Const: true, program.Input: true, program.Coef: true}
	for k := range program.Kinds {
		if inPlace[k] != (texts[k].integer == nil) || (inPlace[k] || k == program.Round) != (texts[k].real == nil) {
			t.Errorf("%v: a text in the integer program: %v, in the real one: %v", k, texts[k].integer != nil, texts[k].real != nil)
		}
	}
}

// TestEveryKind: the programs that the emitters are tried on have every operation, so that none lacks a text in either dialect.
func TestEveryKind(t *testing.T) {
	u := everyKind()
	for k := range program.Kinds {
		of := func(op *program.Op) bool { return op.Kind == k }
		if !slices.ContainsFunc(u.Integer.View().Ops, of) || k != program.Round && !slices.ContainsFunc(u.Stored.View().Ops, of) {
			t.Errorf("no %v is written", k)
		}
	}
}
