package trial

import (
	"testing"

	"gainwright/model/program"
)

// TestStartedOver: the trial starts runs over, integrals kept and not; a target that does not is noticed, and so is a real program
// that forgets what was to be kept.
func TestStartedOver(t *testing.T) {
	u := compileFile("../../testdata/specs/loop_a.yaml", noChange)
	r := verify(t, u, Options{Ticks: 60_000, Target: &fake{p: u.Integer}})
	if !r.OK() || r.Kinds[0].Again != 0 || r.Kinds[1].Again < 2 || r.Kinds[2].Again < 10 {
		t.Errorf("started over %d, %d and %d times", r.Kinds[0].Again, r.Kinds[1].Again, r.Kinds[2].Again)
	}
	if r := verify(t, u, Options{Ticks: 60_000, Target: &fake{p: u.Integer}, Unbroken: true}); !r.OK() || r.Kinds[2].Again != 0 {
		t.Errorf("started over %d times where it must not be", r.Kinds[2].Again)
	}

	deaf := u.Integer.Clone()
	for i := range deaf.States {
		deaf.States[i].Integral = false
	}
	if r := verify(t, u, Options{Ticks: 60_000, Target: &fake{p: deaf}}); r.OK() {
		t.Error("nobody notices a target that loses its integral")
	}

	tr := newTrial(u, Options{}, 10_000)
	tr.realIntegrals = nil
	kind := kinds[2]
	k := tr.begin(kind.name, kind.declared)
	if err := tr.run(t.Context(), k, newGenerator(u, kind, 1, 0, 10_000), 10_000); err != nil {
		t.Fatal(err)
	}
	over := 0
	for _, s := range k.Signals {
		over += s.Local.Over
	}
	if over == 0 {
		t.Error("a real program that loses its integral stays within the bounds")
	}
}

// TestKeptStates: what a restart keeps stays, a trip among it, and nothing else does.
func TestKeptStates(t *testing.T) {
	u := unit(t, "incubator")
	kept, all := u.KeptIntegrals()
	if len(kept) != 1 || !all || u.Integer.States[kept[0]].Name != "heat_integral" {
		t.Fatalf("%v may be kept: %v", kept, all)
	}
	m := program.NewFixedMachine(u.Integer)
	for i := range m.State {
		m.State[i] = 7
	}
	m.Restart(kept...)
	for i, s := range u.Integer.States {
		if want := s.Start.Num().Int64(); (i == kept[0] || s.Name == "believed_trip") != (m.State[i] == 7) || m.State[i] != 7 && m.State[i] != want {
			t.Errorf("%s is %d", s.Name, m.State[i])
		}
	}
}
