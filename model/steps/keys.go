package steps

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"

	"gainwright/model/finding"
	"gainwright/model/formula"
	"gainwright/model/spec"
)

func (l *Lowering) arg(key string) *spec.Arg { return l.step.Arg(key) }

// Has tells whether the step has the key.
func (l *Lowering) Has(key string) bool { return l.arg(key) != nil }

func (l *Lowering) argPos(key string) finding.Pos {
	if a := l.arg(key); a != nil {
		return a.Value.Pos
	}
	return l.step.Pos
}

// reference is a signal that a step names.
type reference struct {
	name     string
	key      string
	pos      finding.Pos
	at       int  // byte of a formula
	previous bool // what it was when its step last ran
}

// references lists the signals that the step names, whether they exist or not; in formulas they may be constants.
func references(s *spec.Step, k *Kind) []reference {
	var out []reference
	if k == nil {
		return nil
	}
	for _, a := range s.Args {
		p := k.param(a.Key)
		if p == nil {
			continue
		}
		add := func(name string, v spec.Value) {
			if v.Shape == spec.Scalar {
				name, previous := previousName(name)
				out = append(out, reference{name: name, key: a.Key, pos: v.Pos, previous: previous})
			}
		}
		switch p.Form {
		case Signal:
			add(a.Value.Text, a.Value)
		case SignalOrNumber:
			if isName(a.Value) {
				add(a.Value.Text, a.Value)
			}
		case Condition, Formula:
			n, _ := formula.Parse(a.Value.Text)
			own := s.Arg("numbers")
			n.Names(func(name string, at int, previous bool) {
				if own != nil && k.param("numbers") != nil && slices.ContainsFunc(own.Value.Pairs, func(p spec.Arg) bool { return p.Key == name }) {
					return
				}
				out = append(out, reference{name: name, key: a.Key, pos: a.Value.Pos, at: at, previous: previous})
			})
		case Signals:
			for _, i := range a.Value.Items {
				add(i.Text, i)
			}
		case Terms:
			for _, i := range a.Value.Pairs {
				name, previous := previousName(i.Key)
				out = append(out, reference{name: name, key: a.Key, pos: i.Pos, previous: previous})
			}
		}
	}
	return out
}

// checkKeys reports unknown and missing keys, values of the wrong shape, and names that nothing has.
func checkKeys(s *spec.Step, good *goodNames, report *finding.List) *Kind {
	say := func(pos finding.Pos, key, rule, remedy, format string, args ...any) {
		path := "steps." + s.Name
		if key != "" {
			path += "." + key
		}
		report.Add(finding.Finding{Pos: pos, Severity: finding.Error, Rule: rule, Key: path, Message: fmt.Sprintf(format, args...), Remedy: remedy})
	}
	if s.Kind == "" {
		return nil // said by package spec
	}
	k := Find(s.Kind)
	ok := k != nil
	if k == nil {
		names := names()
		if what, meant, ok := NoKind(s.Kind); ok {
			say(s.KindPos, "kind", "no-kind-yet", meant, "no kind of step %s yet; the kinds are %s", what, strings.Join(names, ", "))
			return nil
		}
		remedy := "one of these kinds"
		if k = kindMeant(s.Kind); k != nil { // its keys can be looked at all the same
			if remedy = k.Name; k == secondOrderKind {
				remedy += ", with response: " + wordMeant(s.Kind, k.param("response").Choices) + ", frequency and q"
			} else if sample := formulas[spec.Plain(s.Kind)]; sample != "" {
				remedy += `, with value: "` + sample + `"`
			}
		}
		say(s.KindPos, "kind", "unknown-kind", remedy, "%q is no kind of step, expected one of %s", s.Kind, strings.Join(names, ", "))
		if k == nil {
			return nil
		}
	}
	isMeant := map[string]bool{} // keys that an unknown one stands for: they are not missing
	var cut []string             // keys that are parts of a formula
	for _, a := range s.Args {
		p := k.param(a.Key)
		if p != nil && p.Form == Formula {
			_, cut = cutAtComma(s, a)
		}
		if p == nil && slices.Contains(cut, a.Key) {
			ok = false
			continue
		}
		if p == nil {
			ok = false
			remedy, message := k.keyMeant(a.Key), fmt.Sprintf("a step of kind %s has no key %q", k.Name, a.Key)
			if key, value, glued := spec.Glued(a); glued && k.param(key) != nil { // {kp:12} is one word for YAML
				isMeant[key] = true
				say(a.Pos, a.Key, "unknown-key", key+": "+value+", with a space behind the colon", "%s", message)
				continue
			}
			isMeant[remedy] = true
			switch why := leftOut[spec.Plain(a.Key)]; {
			case remedy != "" && s.Arg(remedy) != nil:
				remedy = "leave it out: the step has " + remedy
			case remedy == "" && why != "":
				remedy = "leave it out: " + why
			case remedy == "":
				remedy, message = "leave it out", message+", its keys are "+strings.Join(k.keys(), ", ")
			default:
				remedy = cmp.Or(k.rewritten(s, remedy, a.Value), remedy)
			}
			say(a.Pos, a.Key, "unknown-key", remedy, "%s", message)
			continue
		}
		if a.Value.Shape == spec.Refused { // that has been said
			ok = false
		} else if a.Value.Shape != p.shape() {
			remedy := cmp.Or(k.rewritten(s, a.Key, a.Value), a.Key+": "+written[p.Form].sample)
			say(a.Value.Pos, a.Key, "wrong-shape", remedy, "%s stands here, %s is expected", shown(a.Value), written[p.Form].what)
			ok = false
		} else if err := spec.CheckUnit(a.Value.Text); p.Form == Unit && err != nil {
			say(a.Value.Pos, a.Key, "bad-unit", err.Remedy, "%s", err.Message)
			ok = false
		}
	}
	for _, p := range k.Params {
		if p.Required && !isMeant[p.Key] && s.Arg(p.Key) == nil && Find(s.Kind) != nil { // of a kind that is guessed at, the kind comes first
			say(s.Pos, "", "missing-key", fmt.Sprintf("%s: %s (%s)", p.Key, written[p.Form].sample, p.Doc), "a step of kind %s needs the key %s", k.Name, p.Key)
			ok = false
		}
	}
	if Find(s.Kind) == nil {
		return nil // that the kind is another one may be a wrong guess: no more is said of it
	}
	for _, a := range s.Args {
		if p := k.param(a.Key); p != nil && (p.Form == Condition || p.Form == Formula) && a.Value.Shape == spec.Scalar {
			ok = good.parses(a, p.Form, s, say) && ok
		}
	}
	for _, r := range references(s, k) {
		form := k.param(r.key).Form
		isFormula := form == Condition || form == Formula
		if isFormula {
			r.pos = good.spec.Inside(s.Arg(r.key).Value, r.at)
		}
		switch constant := good.spec.Constant(r.name) != nil; {
		case good.known[r.name], constant && (isFormula && !r.previous || form == SignalOrNumber):
			continue
		case constant:
			ok = false
			say(r.pos, r.key, "constant-as-signal", good.nearest(r.name, s.Name), "%s is a constant, a signal is expected", r.name)
			continue
		}
		ok = false
		if step, _, dotted := strings.Cut(r.name, "."); dotted && good.known[step] {
			own := good.of(step)
			say(r.pos, r.key, "unknown-signal", nearestOr(r.name, own, oneOf(own, step)), "%s has no signal of the name %q", step, r.name)
			continue
		}
		if form == Condition && r.name == s.Arg(r.key).Value.Text {
			if remedy := good.condition(r.name); remedy != "" {
				say(r.pos, r.key, "not-a-condition", remedy, "%q is no condition", r.name)
				continue
			}
		}
		if isFormula && len(good.spec.Constants) > 0 {
			say(r.pos, r.key, "unknown-signal", cmp.Or(good.constant(r.name), good.nearest(r.name, s.Name)), "%q is neither an input nor a step nor a constant", r.name)
			continue
		}
		say(r.pos, r.key, "unknown-signal", good.nearest(r.name, s.Name), "%q is neither an input nor a step", r.name)
	}
	if !ok {
		return nil
	}
	return k
}

// parses reports what keeps the text of a key from being a formula.
func (g *goodNames) parses(a spec.Arg, form Form, s *spec.Step, say func(pos finding.Pos, key, rule, remedy, format string, args ...any)) bool {
	n, errs := formula.Parse(a.Value.Text)
	if len(errs) == 0 {
		if g.parts -= n.Size(); g.parts < 0 {
			say(a.Value.Pos, a.Key, "too-large", "fewer or shorter formulas in one controller", "the formulas up to here have more than %d names, numbers and signs", mostParts)
			return false
		}
		return true
	}
	if remedy := g.condition(a.Value.Text); form == Condition && remedy != "" {
		say(a.Value.Pos, a.Key, "not-a-condition", remedy, "%q is no condition", a.Value.Text)
		return false
	}
	if whole, _ := cutAtComma(s, a); whole != "" {
		say(a.Value.Pos, a.Key, "not-a-formula", a.Key+`: "`+whole+`"`, "a comma ends a text that has no quotes, between { and }")
		return false
	}
	for _, e := range errs {
		say(g.spec.Inside(a.Value, e.At), a.Key, e.Rule, e.Remedy, "%s", e.Message)
	}
	return false
}

// cutAtComma puts a formula together again that YAML cut at the commas of a function: each part behind one is a key of its own. Else it is empty.
func cutAtComma(s *spec.Step, a spec.Arg) (whole string, keys []string) {
	if a.Value.Quoted || a.Value.Shape != spec.Scalar || strings.Count(a.Value.Text, "(") <= strings.Count(a.Value.Text, ")") {
		return "", nil
	}
	whole = a.Value.Text
	for i := range s.Args {
		if s.Args[i].Pos != a.Pos {
			continue
		}
		for _, b := range s.Args[i+1:] {
			if b.Value.Shape != spec.Scalar || b.Value.Text != "" || b.Value.Quoted {
				break
			}
			whole, keys = whole+", "+b.Key, append(keys, b.Key)
		}
	}
	if _, errs := formula.Parse(whole); len(errs) > 0 {
		return "", nil
	}
	return whole, keys
}

// goodNames are the names that a step may use.
type goodNames struct {
	spec     *spec.Spec
	known    map[string]bool
	sorted   []string // empty until it is asked for
	parts    int      // names, numbers and signs of formulas left
	compares int      // comparisons left for suggestions, so that thousands of misspelt names do not take minutes
}

const mostCompares = 1 << 17

// mostParts is how many names, numbers and signs the formulas of a spec may have together; an honest one has some hundred.
const mostParts = 4000

func (g *goodNames) list() []string {
	if len(g.sorted) == 0 {
		g.sorted = slices.Sorted(maps.Keys(g.known))
	}
	return g.sorted
}

// of lists the further signals of a step.
func (g *goodNames) of(step string) (out []string) {
	if g.compares -= len(g.known); g.compares < 0 {
		return nil
	}
	for _, n := range g.list() {
		if strings.HasPrefix(n, step+".") {
			out = append(out, n)
		}
	}
	return out
}

func (g *goodNames) nearest(name, step string) string {
	const otherwise = "the name of an input or step"
	if g.compares -= len(g.known); g.compares < 0 {
		return otherwise
	}
	others := slices.DeleteFunc(slices.Clone(g.list()), func(n string) bool { return n == step || strings.HasPrefix(n, step+".") })
	return nearestOr(name, others, oneOf(others, otherwise))
}

// constant is the one that a misspelt name most likely stands for, or nothing.
func (g *goodNames) constant(name string) string {
	var names []string
	for _, c := range g.spec.Constants {
		names = append(names, c.Name)
	}
	if g.compares -= len(names); g.compares < 0 {
		return ""
	}
	return nearestOr(name, names, "")
}

// condition says what to write for what is neither a switch nor, most likely, the misspelt name of one; nothing: it may be one.
func (g *goodNames) condition(text string) string {
	words := strings.FieldsFunc(strings.ToLower(text), func(c rune) bool { return c == ' ' || c == '!' || c == '&' || c == '|' })
	switch {
	case text == "true" || text == "on" || text == "always":
		return "leave it out: what is not switched is always on"
	case text == "false" || text == "off" || text == "never":
		return "the name of a switch"
	case len(words) == 1 && strings.HasPrefix(text, "!") && g.known[words[0]]:
		return "not " + words[0]
	case len(words) == 3 && g.known[words[0]] && words[1] == "is":
		if words[2] == "off" || words[2] == "false" || words[2] == "not" {
			return "not " + words[0]
		}
		return words[0]
	case len(words) == 2 && g.known[words[1]] && strings.HasPrefix(words[0], "ris"):
		return words[1] + " rises"
	case len(words) == 2 && g.known[words[1]] && strings.HasPrefix(words[0], "fall"):
		return words[1] + " falls"
	}
	return ""
}

func nearestOr(name string, good []string, otherwise string) string {
	if at := slices.IndexFunc(good, func(g string) bool { return letters(g) == letters(name) }); at >= 0 { // two of them changed places
		return good[at]
	}
	if slices.Contains(good, spec.Plain(name)) {
		return spec.Plain(name)
	}
	longer := ""
	for _, g := range good { // one that was renamed
		if strings.HasPrefix(g, name+"_") || strings.HasPrefix(name, g+"_") {
			if longer != "" {
				longer = ""
				break
			}
			longer = g
		}
	}
	if longer != "" && len(name) > 2 {
		return longer
	}
	return cmp.Or(spec.Nearest(name, good), otherwise)
}

func letters(name string) string {
	b := []byte(name)
	slices.Sort(b)
	return string(b)
}

// oneOf lists a few names, or says what is wanted where there are none or many.
func oneOf(names []string, otherwise string) string {
	if len(names) == 0 || len(names) > 12 {
		return otherwise
	}
	return "one of " + strings.Join(names, ", ")
}
