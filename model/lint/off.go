package lint

import (
	"fmt"
	"math/big"
	"slices"
	"strings"

	"gainwright/model/cert"
	"gainwright/model/finding"
	"gainwright/model/interval"
	"gainwright/model/program"
)

// drivenWhileOff warns of outputs that do not come to 0 while all that enables the PIDs before them is off: what is meant to stop the machine does not.
// What follows as the tail of a filter is not told of, nor an effort that is handed in.
func drivenWhileOff(l *linter, say teller) {
	off := *l.Asked
	off.Ops = slices.Clone(off.Ops)
	for _, sec := range off.Sections {
		if sec.Switched() != program.None {
			op := &off.Ops[sec.Signals[0].Value].Op
			*op = program.Op{Kind: program.Const, K: new(big.Rat), Section: op.Section}
		}
	}
	e := cert.NewEvaluator(&off) // with all states as they were while it was on: what is held is not gone
	for i, op := range off.Ops {
		if op.Kind == program.State {
			e.States[op.Index] = l.Reach[i]
		}
	}
	for i, in := range off.Inputs { // an effort that is handed in is somebody else's to switch off
		if slices.ContainsFunc(off.Outputs, func(o program.Output) bool { return o.Unit == in.Unit }) && in.Offset != nil {
			e.Inputs[i] = interval.Point(new(big.Rat).Neg(in.Offset))
		}
	}
	for s, sec := range off.Sections {
		if of := sec.Facts.Level; of != nil && (sec.Facts.Lag != nil || sec.Facts.Biquad != nil) && e.Ranges[*of].IsZero() { // it comes to rest
			for n, state := range off.States {
				if state.Section == s && !state.Bool {
					e.States[n] = e.Ranges[*of]
				}
			}
		}
		e.Section(s)
	}
	for i, o := range l.Spec.Outputs {
		stage := off.Ops[off.Outputs[i].Value].Section
		from := off.Sections[stage].Inputs[0]
		lo, hi := off.Outputs[i].Inside()
		r := e.Ranges[from].Limit(interval.Point(lo), interval.Point(hi))
		held, loose := l.lastPIDs(off.Ops[from].Section)
		if len(held) == 0 || r.IsZero() {
			continue
		}
		enable := "enable: " + l.enables(held[0])
		remedy := fmt.Sprintf("at the output, from: the name of a step {kind: pid, target: 0, measured: %s, kp: -1, %s}: it is %s while it is enabled, else 0", o.From, enable, o.From)
		if len(loose) > 0 {
			remedy = enable + ", at the step " + loose[0].Name
		}
		var names []string
		for _, sec := range held {
			names = append(names, fmt.Sprintf("%s (enable: %s)", sec.Name, l.enables(sec)))
		}
		say(stage, finding.Warning, "outputs."+o.Name, remedy,
			fmt.Sprintf("this output does not come to 0 with %s off: it is %s then", strings.Join(names, " and "), within(r, o.Unit)))
	}
}

// within says where a value is.
func within(r interval.Range, unit string) string {
	if r.IsPoint() {
		return strings.TrimSpace(fmt.Sprintf("%.6g %s", f64(r.Lo), unit))
	}
	return strings.TrimSpace(fmt.Sprintf("anything in [%.6g, %.6g] %s", f64(r.Lo), f64(r.Hi), unit))
}

// enables is the condition that a step is given, as it is written.
func (l *linter) enables(sec program.Section) string {
	if s := l.Spec.Step(sec.Name); s != nil && s.Arg("enable") != nil {
		return s.Arg("enable").Value.Text
	}
	return ""
}

// lastPIDs are those before a section that come to it through no other that can be switched off: held by a switch, and loose.
func (l *linter) lastPIDs(section int) (held, loose []program.Section) {
	seen := map[int]bool{}
	var visit func(s int)
	visit = func(s int) {
		sec := l.Asked.Sections[s]
		switch {
		case seen[s]:
			return
		case sec.Switched() != program.None:
			held = append(held, sec)
		case sec.Facts.Control != nil:
			loose = append(loose, sec)
		}
		if seen[s] = true; sec.Switched() == program.None {
			for _, id := range sec.Inputs {
				visit(l.Asked.Ops[id].Section)
			}
		}
	}
	visit(section)
	return held, loose
}
