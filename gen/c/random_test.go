package c

import (
	"fmt"
	"math"
	"math/big"
	"math/rand/v2"
	"testing"

	"gainwright/model"
	"gainwright/model/program"
)

// randomUnit is a program of random operations whose ranges follow by interval arithmetic. It makes no
// sense as a controller; it has every operation in every width, and states with every kind of contract.
func randomUnit(t testing.TB, seed uint64) *model.Unit {
	rng := rand.New(rand.NewPCG(seed, 7))
	b := newBuilder(t, fmt.Sprintf("random%d", seed))
	var numbers, truths []program.ID
	any := func(ids []program.ID) program.ID { return ids[rng.IntN(len(ids))] }
	for i, typ := range []program.Type{program.I8, program.U8, program.I16, program.U16, program.I32} {
		numbers = append(numbers, b.input(fmt.Sprintf("x%d", i), typ, "", big.NewRat(1, 1)))
	}
	truths = append(truths, b.input("on", program.Bool, "", nil))
	b.begin("all", "random", "Random operations.", "")
	for i := range 2 {
		hi := 1 + rng.Int64N(1<<uint(4+rng.IntN(27)))
		setter := program.Setter{Digits: 3, XLo: -rng.Int64N(hi) / 2, XHi: hi, XStart: hi / 2, M: 1 + rng.Int64N(1<<20), Shift: uint(1 + rng.IntN(20))}
		numbers = append(numbers, b.gain(fmt.Sprintf("k%d", i), fmt.Sprintf("k.%d", i), setter, big.NewRat(1, 1)))
	}
	type memory struct {
		id     program.ID
		lo, hi int64
	}
	var memories []memory
	for i := range 4 {
		typ := []program.Type{program.I8, program.I16, program.I32, program.I64}[i]
		lo, hi := typ.Range()
		id := b.state(fmt.Sprintf("m%d", i), "memory", rng.Int64N(100)-50, lo, hi, typ)
		memories = append(memories, memory{id, lo, hi})
		numbers = append(numbers, id)
	}
	kinds := []program.Kind{program.Const, program.Add, program.Sub, program.Scale, program.Mul, program.Round, program.Clamp, program.Min, program.Max,
		program.Abs, program.Wrap, program.Less, program.LessEqual, program.And, program.Or, program.Not, program.Select}
	for n := 0; n < 60; {
		kind := kinds[rng.IntN(len(kinds))]
		args := map[program.Kind]int{program.Const: 0, program.Scale: 1, program.Round: 1, program.Abs: 1, program.Wrap: 1, program.Not: 1, program.Clamp: 3, program.Select: 3}
		count, known := args[kind]
		if !known {
			count = 2
		}
		logical := kind == program.And || kind == program.Or || kind == program.Not
		var ids []program.ID
		for i := range count {
			if logical || kind == program.Select && i == 0 {
				ids = append(ids, any(truths))
			} else {
				ids = append(ids, any(numbers))
			}
		}
		if kind == program.Mul && rng.IntN(2) == 0 { // truths as numbers, now and then
			ids[0] = any(truths)
		}
		k := rng.Int64N(1<<uint(1+rng.IntN(33))) - 1<<uint(rng.IntN(33))
		if kind == program.Const && rng.IntN(6) == 0 {
			k = []int64{math.MinInt64, math.MaxInt64, math.MinInt32, math.MaxInt32, math.MinInt16, -1, 0, 1, math.MinInt32 - 1, math.MaxInt16 + 1}[rng.IntN(10)]
		}
		if kind == program.Wrap {
			k = 1 << uint(8+rng.IntN(25))
		}
		shift := uint(0)
		if kind == program.Round {
			shift = uint(1 + rng.IntN(63))
		}
		id, ok := b.try(kind, fmt.Sprintf("v%d", n), "value", k, shift, ids...)
		if !ok {
			continue
		}
		n++
		if b.p.Ops[id].Type == program.Bool {
			truths = append(truths, id)
		} else {
			numbers = append(numbers, id)
		}
	}
	for i, m := range memories {
		lo, hi := b.constant(fmt.Sprintf("lo%d", i), m.lo), b.constant(fmt.Sprintf("hi%d", i), m.hi)
		next := b.op(program.Clamp, fmt.Sprintf("next%d", i), "next", any(numbers), lo, hi)
		to := b.op(program.Clamp, fmt.Sprintf("to%d", i), "reset", any(numbers), lo, hi)
		enable, reset := program.None, program.None
		if rng.IntN(2) == 0 {
			enable = any(truths)
		}
		if rng.IntN(2) == 0 {
			reset = any(truths)
		}
		b.contract(m.id, next, enable, reset, to)
	}
	for i, id := range append(append([]program.ID{}, numbers...), truths...) {
		if rng.IntN(3) > 0 {
			b.output(fmt.Sprintf("o%d", i), program.I64, id)
		}
	}
	return b.unit()
}
