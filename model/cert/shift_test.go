package cert_test

import (
	"os"
	"testing"

	"gainwright/model"
	"gainwright/model/cert"
	"gainwright/model/program"
)

// TestShiftOfRounding: a rounding by another shift than the formats say is an error of translation, whatever ranges allow.
func TestShiftOfRounding(t *testing.T) {
	text, err := os.ReadFile("../../templates/starters/cart.yaml")
	if err != nil {
		t.Fatal(err)
	}
	u := model.Compile("cart.yaml", text)
	if !u.OK() {
		t.Fatal(u.Findings)
	}
	follow := func() error {
		_, err := cert.NewDifferences(u.Stored, u.Integer, u.Certificate.Ops, false)
		return err
	}
	if err := follow(); err != nil {
		t.Fatal(err)
	}
	tried := 0
	for i := range u.Integer.Ops {
		op := &u.Integer.Ops[i]
		if op.Kind != program.Round {
			continue
		}
		tried++
		op.Shift++
		if follow() == nil {
			t.Errorf("%s is shifted by %d and passes", op.Name, op.Shift)
		}
		op.Shift--
	}
	if tried < 3 {
		t.Errorf("%d roundings", tried)
	}
}
