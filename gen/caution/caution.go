// Package caution holds what is said wherever this tool hands out code for a machine, in one wording.
package caution

import (
	"slices"
	"strings"

	"gainwright/model"
)

// The cautions, each whole sentences of plain ASCII.
const (
	Ground  = "This code drives a machine. Stay with it at first, the wheels off the ground or the belt off."
	CutOff  = "Keep an independent cut-off within reach: a switch in the supply that needs no processor."
	Fuse    = "Put a fuse in the supply of each motor and heater."
	Thermal = "Give each heater a thermal cut-out of its own, set above the working temperature."
	Battery = "Batteries burn: fuse them at the pole, never short them or run them flat. Charge lithium cells with a charger made for them, in a fire-proof place, and stay there."
	Mains   = "Mains wiring and machines that can hurt people fall under local codes and, in many places, are work for licensed people."
	Numbers = "What is proven here is about the numbers. It does not make the gains right, and no simulation knows your machine as well as you do."
)

// All are the cautions of what is kept beside the machine: the header, the page for people.
func All() []string { return []string{Ground, CutOff, Fuse, Thermal, Battery, Mains} }

// Brief are those that a command says once, for the machine that the spec describes. Where it describes none, nothing can be left out.
func Brief(u *model.Unit) []string {
	if u.Plant == nil {
		return All()
	}
	out := []string{Ground, CutOff, Fuse}
	if heats(u) {
		out = append(out, Thermal)
	}
	if u.Plant.Battery != nil {
		out = append(out, Battery)
	}
	return append(out, Mains)
}

// heats tells whether something may get hot on purpose: the plant is a heater, an input is a temperature, or an output says so.
func heats(u *model.Unit) bool {
	if u.Plant.Kind.Name == "heater" {
		return true
	}
	for _, in := range u.Spec.Inputs {
		if slices.Contains([]string{"degC", "degF", "K"}, in.Unit) {
			return true
		}
	}
	for _, out := range u.Spec.Outputs {
		if strings.Contains(strings.ToLower(out.Name), "heat") {
			return true
		}
	}
	return false
}
