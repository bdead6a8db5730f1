package scale_test

import (
	"os"
	"reflect"
	"slices"
	"testing"

	"gainwright/model/bound"
	"gainwright/model/finding"
	"gainwright/model/program"
	"gainwright/model/scale"
	"gainwright/model/target"
)

// TestFactorsInEitherOrder: a product by a live gain is one, whichever of its two arguments the gain is.
func TestFactorsInEitherOrder(t *testing.T) {
	text, err := os.ReadFile("../../templates/starters/cart.yaml")
	if err != nil {
		t.Fatal(err)
	}
	asked := compile(t, string(text)).Asked
	reach, _, err := bound.Ranges(asked, false)
	if err != nil {
		t.Fatal(err)
	}
	run := func(p *program.Real) scale.Result {
		return scale.Run(scale.Request{Asked: p, Ranges: reach.Ranges, Declared: reach.Ranges, Target: target.Named(target.Default), Place: func(int) finding.Pos { return finding.Pos{} }})
	}
	turned := asked.Clone()
	for i := range turned.Ops {
		if op := &turned.Ops[i]; op.Kind == program.Mul {
			slices.Reverse(op.Args)
		}
	}
	want, got := run(asked), run(turned)
	products := 0
	for i := range got.Integer.Ops {
		if op := &got.Integer.Ops[i]; op.Kind == program.Mul {
			slices.Reverse(op.Args)
			products++
		}
	}
	if products == 0 || !reflect.DeepEqual(want.Integer, got.Integer) || !reflect.DeepEqual(want.Constants, got.Constants) {
		t.Errorf("%d products by gains: the integer program hangs on the order of their arguments", products)
	}
}
