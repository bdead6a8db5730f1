package steps

import "gainwright/model/spec"

// effortUnit is the unit that the effort of a step must have for what reads it: that of an output it feeds, directly or through steps that keep
// the unit, or that of the measured value whose target it is. Where nothing tells, or not all tell the same, it is empty.
func (l *Lowering) effortUnit(name string) string {
	units := map[string]bool{}
	l.askReaders(name, units, map[string]bool{})
	if len(units) != 1 {
		return ""
	}
	for u := range units {
		return u
	}
	return ""
}

// keepsUnit are the kinds whose value has the unit of the signal under the key.
var keepsUnit = map[string]string{"clamp": "of", "hold": "of", "low_pass": "of", "second_order": "of"}

// reader is a step that reads a signal such that its own unit, or that of what it measures, tells the signal's.
type reader struct {
	step     string
	measured string // of a PID whose target the signal is
}

func (l *Lowering) askReaders(name string, units, asked map[string]bool) {
	if asked[name] {
		return
	}
	asked[name] = true
	if l.readers == nil {
		l.listReaders()
	}
	for _, u := range l.feeds[name] {
		units[u] = true
	}
	for _, r := range l.readers[name] {
		if r.measured == "" {
			l.askReaders(r.step, units, asked)
		} else if m, known := l.signals[r.measured]; known {
			units[m.unit] = true
		}
	}
}

// listReaders notes once what reads each signal.
func (l *Lowering) listReaders() {
	l.readers, l.feeds = map[string][]reader{}, map[string][]string{}
	for _, o := range l.spec.Outputs {
		l.feeds[o.From] = append(l.feeds[o.From], o.Unit)
	}
	for i := range l.spec.Steps {
		s := &l.spec.Steps[i]
		args := map[string]*spec.Value{}
		for j := range s.Args {
			args[s.Args[j].Key] = &s.Args[j].Value
		}
		note := func(name string, r reader) { l.readers[name] = append(l.readers[name], r) }
		if of := args[keepsUnit[s.Kind]]; of != nil {
			note(of.Text, reader{step: s.Name})
		}
		switch s.Kind {
		case "sum": // of one unit throughout, unless it is given another
			if of := args["of"]; of != nil && args["unit"] == nil {
				for _, t := range of.Pairs {
					note(t.Key, reader{step: s.Name})
				}
			}
		case "pid":
			if target, measured := args["target"], args["measured"]; target != nil && measured != nil {
				note(target.Text, reader{s.Name, measured.Text})
			}
		}
	}
}
