package model

import (
	"math/big"
	"slices"

	"gainwright/model/cert"
	"gainwright/model/program"
)

// Integral is how the integral of a PID behaves at its two ends: at errors so small that a coarse one would stand still, and at large ones.
type Integral struct {
	Section  int
	Unit     string   // of the error
	Smallest *big.Rat // the smallest error other than 0 that there is: with any ki that is not stored as 0 it moves the integral at each tick
	Largest  *big.Rat // the largest error, for inputs in their declared ranges
	WindUp   *big.Rat // seconds from one limit of the integral to the other at the largest error, at the ki of the start; nil: never
}

// KeptIntegrals lists the states that are integral terms. all tells whether a restart may keep them: that each may start
// anywhere in its certified range.
func (u *Unit) KeptIntegrals() (states []int, all bool) {
	all = true
	for n, s := range u.Integer.States {
		if s.Integral {
			states = append(states, n)
			all = all && cert.StartsAnywhere(u.Integer, u.Certificate, n)
		}
	}
	return states, all
}

// Integrals lists the integrals of all PIDs, in the order of the sections.
func (u *Unit) Integrals() (out []Integral) {
	for s, sec := range u.Integer.Sections {
		if sec.Kind != "pid" {
			continue
		}
		limited, has := named(u.Asked, sec.Name+"_integral_limited")
		at := slices.IndexFunc(u.Integer.Ops, func(op program.FixedOp) bool { return op.Name == sec.Name+"_error" })
		if !has || at < 0 {
			continue
		}
		e := &u.Integer.Ops[at]
		lo, hi := u.Asked.Ops[limited.Args[1]].K, u.Asked.Ops[limited.Args[2]].K
		i := Integral{Section: s, Unit: e.Unit, Smallest: e.LSB, Largest: u.declared[e.Real].Size()}
		for _, set := range u.Asked.Sections[s].Settings {
			if rate := new(big.Rat).Mul(new(big.Rat).Abs(set.Value), i.Largest); set.Name == "ki" && rate.Sign() > 0 && lo != nil && hi != nil {
				i.WindUp = rate.Quo(new(big.Rat).Sub(hi, lo), rate)
			}
		}
		out = append(out, i)
	}
	return out
}
