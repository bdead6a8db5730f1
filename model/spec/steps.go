package spec

import "slices"

const stepSample = "tilt: {kind: complementary, ...}"

// readSteps keeps each step as a tree; only its name and kind are looked at here.
func (r *reader) readSteps(f fields) {
	for _, e := range r.section(f, "steps", stepSample, true) {
		r.declare(e, "step")
		r.readStep(e)
	}
}

func (r *reader) readStep(e entry) {
	e.what = "a step"
	step := Step{Name: e.key, Pos: e.pos}
	defer func() { r.spec.Steps = append(r.spec.Steps, step) }()
	sample := e.key + ": {kind: pid, ...}"
	if e.value.Text != "" {
		sample = e.key + ": {kind: " + e.value.Text + ", ...}"
	}
	pairs, ok := r.asMap(e, sample)
	if !ok {
		return
	}
	for _, p := range pairs {
		if p.Key != "kind" {
			step.Args = append(step.Args, p)
			continue
		}
		kind := entry{path: join(e.path, p.Key), key: p.Key, pos: p.Pos, value: p.Value}
		step.KindPos = p.Value.Pos
		if text, ok := r.asText(kind, "the kind of the step", "pid"); ok {
			step.Kind = text
		}
	}
	if step.KindPos.Line > 0 {
		return
	}
	// A key that swallowed its value, or a word alone, is the kind without its colon.
	for i, a := range step.Args {
		key, value, glued := Glued(a)
		alone := i == 0 && nothing(a.Value) && nameForm.MatchString(Plain(a.Key))
		switch {
		case glued && key == "kind":
		case alone:
			value = Plain(a.Key)
		case Plain(a.Key) == "type" && a.Value.Shape == Scalar:
			value = a.Value.Text
		default:
			continue
		}
		step.Args = slices.Delete(step.Args, i, i+1)
		r.say(entry{path: join(e.path, a.Key), pos: a.Pos}, "missing-key", "kind: "+value, "a step needs the key kind, with a colon and a space behind it")
		return
	}
	// A key close to kind is taken for it, so that package steps need not judge it as a key of no kind.
	for i, a := range step.Args {
		if r.nearest(Plain(a.Key), []string{"kind"}) != "" {
			step.Args = slices.Delete(step.Args, i, i+1)
			r.say(entry{path: join(e.path, a.Key), pos: a.Pos}, "unknown-key", "kind", "unknown key; a step needs the key kind")
			return
		}
	}
	r.need(fields{of: e}, "kind", "kind: pid, or another kind of step")
}
