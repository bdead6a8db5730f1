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

func (l *Lowering) askReaders(name string, units, asked map[string]bool) {
	if asked[name] {
		return
	}
	asked[name] = true
	for _, o := range l.spec.Outputs {
		if o.From == name {
			units[o.Unit] = true
		}
	}
	for i := range l.spec.Steps {
		s := &l.spec.Steps[i]
		arg := func(key string) *spec.Value {
			for j := range s.Args {
				if s.Args[j].Key == key {
					return &s.Args[j].Value
				}
			}
			return nil
		}
		if of := arg(keepsUnit[s.Kind]); of != nil && of.Text == name {
			l.askReaders(s.Name, units, asked)
		}
		switch s.Kind {
		case "sum": // of one unit throughout, unless it is given another
			if of := arg("of"); of != nil && arg("unit") == nil {
				for _, t := range of.Pairs {
					if t.Key == name {
						l.askReaders(s.Name, units, asked)
					}
				}
			}
		case "pid":
			target, measured := arg("target"), arg("measured")
			if target == nil || measured == nil || target.Text != name {
				continue
			}
			if m, known := l.signals[measured.Text]; known {
				units[m.unit] = true
			}
		}
	}
}
