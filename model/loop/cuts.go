package loop

import "gainwright/model/program"

// cutsAtOutputs cuts the loop at each output that drives the plant, the other outputs at work.
func (s *System) cutsAtOutputs(programs [2]*controller, now *sampled, stable [2]bool) []Cut {
	var out []Cut
	for _, o := range s.driving() {
		cut := Cut{Output: s.Spec.Outputs[o].Name}
		for i, c := range programs {
			j := join(c, now, o)
			cut.Margins[i], cut.Bode[i] = newTransfer(j.a, j.at(o), j.outputs()[o], s.period()).read(stable[i])
		}
		out = append(out, cut)
	}
	return out
}

// cutsAtPIDs cuts the loop behind each PID, where its gains are turned: what it feeds, be it several outputs, is fed with a share more or less of it.
// A PID that nothing leads back to is left out.
func (s *System) cutsAtPIDs(programs [2]*controller, m *materials, now *sampled, stable [2]bool) []Cut {
	var out []Cut
	for n, section := range s.Stored.Sections {
		if section.Facts.Control == nil {
			continue
		}
		cut, any := Cut{PID: section.Name}, false
		for i, c := range programs {
			t := s.cutAt(c, n, m, now)
			any = any || !t.empty()
			cut.Margins[i], cut.Bode[i] = t.read(stable[i])
		}
		if any {
			out = append(out, cut)
		}
	}
	return out
}

// cutAt is the loop cut behind a section.
func (s *System) cutAt(c *controller, section int, m *materials, now *sampled) *transfer {
	j := join(s.signed(linearise(c.of, c.value, c.signal(section)), m), now, -1)
	return newTransfer(j.a, j.behind(), j.ahead(), s.period())
}

// signal is what a section hands on.
func (c *controller) signal(section int) program.ID { return c.p.Sections[section].Signals[0].Value }

func (s *System) period() float64 {
	hz, _ := s.Spec.Rate.Float64()
	return 1 / hz
}
