package selection_test

import (
	"math/big"
	"testing"

	"gainwright/model"
	"gainwright/model/program"
	"gainwright/model/selection"
	"gainwright/model/target"
	"gainwright/templates"
)

// run walks the statements of a tick and holds that each value is computed once and before it is read, that an old state is read
// before it is stored, and that each state and output is there in the end.
func run(t *testing.T, s *selection.Selection) {
	t.Helper()
	done, stored, given, latched := map[program.ID]bool{}, map[int]bool{}, map[int]bool{}, false
	var read func(id program.ID)
	read = func(id program.ID) {
		op := &s.Program.Ops[id]
		switch {
		case op.Kind == program.Const || done[id]:
			return
		case s.Local(id):
			t.Errorf("%s is read before it is computed", op.Name)
		case op.Kind == program.State && stored[op.Index]:
			t.Errorf("%s is read when its state is stored", op.Name)
		}
		for _, a := range op.Args {
			read(a)
		}
	}
	for _, b := range s.Blocks() {
		for _, st := range b.Statements {
			switch st.Kind {
			case selection.Define:
				id := program.ID(st.At)
				op := &s.Program.Ops[id]
				if done[id] || !s.Local(id) || op.Kind == program.State && stored[op.Index] || op.Kind == program.Coef && !latched {
					t.Errorf("%s is computed twice, or for nothing, or too late or too early", op.Name)
				}
				for _, a := range op.Args {
					read(a)
				}
				done[id] = true
			case selection.Latch:
				latched = true
			case selection.Store:
				for _, n := range s.Groups[st.At] {
					state := &s.Program.States[n]
					for _, id := range []program.ID{state.Next, state.Enable, state.Reset, state.ResetTo} {
						if id != program.None && (id != state.ResetTo || state.Reset != program.None) {
							read(id)
						}
					}
				}
				for _, n := range s.Groups[st.At] {
					stored[n] = true
				}
			case selection.Output:
				read(s.Program.Outputs[st.At].Value)
				given[st.At] = true
			}
		}
	}
	if len(stored) != len(s.Program.States) || len(given) != len(s.Program.Outputs) {
		t.Errorf("%d of %d states are stored, %d of %d outputs given", len(stored), len(s.Program.States), len(given), len(s.Program.Outputs))
	}
	for i := range s.Ops {
		if s.Local(program.ID(i)) != done[program.ID(i)] {
			t.Errorf("%s is live and has no statement", s.Program.Ops[i].Name)
		}
	}
}

// TestOrder follows the statements of the starters on every target.
func TestOrder(t *testing.T) {
	for _, name := range templates.Starters() {
		u := model.Compile(name+".yaml", templates.Starter(name))
		for _, on := range target.Names() {
			for _, prefer := range []selection.Preference{selection.Speed, selection.Size} {
				run(t, selection.Select(u.Integer, target.Named(on), prefer))
			}
		}
	}
}

// TestStateInAStore holds that a state which a choice takes that another state alone reads is read before it is stored.
func TestStateInAStore(t *testing.T) {
	value := func(kind program.Kind, index int, args ...program.ID) program.FixedOp {
		return program.FixedOp{Op: program.Op{Kind: kind, Index: index, Args: args}, Type: program.I16, Lo: -1 << 15, Hi: 1<<15 - 1}
	}
	truth := func(index int) program.FixedOp {
		return program.FixedOp{Op: program.Op{Kind: program.Input, Index: index, Bool: true}, Type: program.Bool, Hi: 1}
	}
	p := &program.Fixed{
		Frame: program.Frame{Inputs: []program.InputInfo{{Name: "x", Type: program.I16}, {Name: "on", Type: program.Bool, IsSwitch: true}, {Name: "up", Type: program.Bool, IsSwitch: true}},
			Sections: []program.Section{{Name: "s"}}},
		Ops: []program.FixedOp{value(program.Input, 0), truth(1), truth(2), value(program.State, 0), value(program.Select, 0, 1, 0, 3)},
		States: []program.FixedState{
			{StateInfo: program.StateInfo{Start: new(big.Rat), Next: 0, Enable: program.None, Reset: program.None}, Type: program.I16, Lo: -1 << 15, Hi: 1<<15 - 1},
			{StateInfo: program.StateInfo{Start: new(big.Rat), Next: 4, Enable: 2, Reset: program.None}, Type: program.I16, Lo: -1 << 15, Hi: 1<<15 - 1},
		},
	}
	run(t, selection.Select(p, target.Named("avr8"), selection.Speed))
}
