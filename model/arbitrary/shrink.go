package arbitrary

import (
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// Shrink returns a smaller spec for which fails still holds: with parts and keys taken away, references moved
// to earlier signals and numbers made simple. fails is asked at most so many times.
func (s *Spec) Shrink(fails func(*Spec) bool, tries int) *Spec {
	best := s
	takes := func(from []*Spec) bool { // the first that is smaller and fails
		for _, c := range from {
			if tries <= 0 || len(c.Text()) >= len(best.Text()) {
				continue
			}
			if tries--; fails(c) {
				best = c
				return true
			}
		}
		return false
	}
	for again := true; again; {
		again = false
		for _, smaller := range []func(*Spec) []*Spec{(*Spec).fewerOutputs, (*Spec).fewerKeys, (*Spec).fewerSteps, (*Spec).fewerInputs, (*Spec).simplerTexts} {
			for tries > 0 && takes(smaller(best)) {
				again = true
			}
		}
	}
	return best
}

func without[T any](list []T, i int) []T {
	return slices.Delete(slices.Clone(list), i, i+1)
}

// fewerOutputs keeps one, then fewer.
func (s *Spec) fewerOutputs() (out []*Spec) {
	keep := func(outputs []Part) {
		c := s.clone()
		c.Outputs = outputs
		c.forget()
		out = append(out, c)
	}
	for i := range s.Outputs {
		if len(s.Outputs) > 1 {
			keep([]Part{s.Outputs[i]})
		}
	}
	for i := range s.Outputs {
		keep(without(s.Outputs, i))
	}
	return out
}

func (s *Spec) fewerKeys() (out []*Spec) {
	list := func(at func(*Spec) *[]Key) {
		for i := range *at(s) {
			c := s.clone()
			*at(c) = without(*at(c), i)
			out = append(out, c)
		}
	}
	list(func(s *Spec) *[]Key { return &s.Tuning })
	list(func(s *Spec) *[]Key { return &s.Accuracy })
	list(func(s *Spec) *[]Key { return &s.Formats })
	for _, parts := range s.sections() {
		for i := range *parts(s) {
			list(func(s *Spec) *[]Key { return &(*parts(s))[i].Keys })
		}
	}
	return out
}

func (s *Spec) sections() []func(*Spec) *[]Part {
	return []func(*Spec) *[]Part{func(s *Spec) *[]Part { return &s.Steps }, func(s *Spec) *[]Part { return &s.Outputs }, func(s *Spec) *[]Part { return &s.Inputs }}
}

// fewerSteps takes a step away; what named it names another signal.
func (s *Spec) fewerSteps() (out []*Spec) {
	for i := len(s.Steps) - 1; i >= 0; i-- {
		name := s.Steps[i].Name
		for _, by := range append([]string{""}, s.others(name)...) {
			c := s.clone()
			c.Steps = without(c.Steps, i)
			c.forget()
			unused := c.replace(name, by)
			if unused == (by == "") {
				out = append(out, c)
			}
			if unused {
				break
			}
		}
	}
	return out
}

func (s *Spec) fewerInputs() (out []*Spec) {
	for i := range s.Inputs {
		for _, by := range append([]string{""}, s.others(s.Inputs[i].Name)...) {
			c := s.clone()
			c.Inputs = without(c.Inputs, i)
			if c.replace(s.Inputs[i].Name, by) == (by == "") {
				out = append(out, c)
			}
		}
	}
	return out
}

// others are the names of inputs and steps but one.
func (s *Spec) others(name string) (out []string) {
	for _, parts := range [][]Part{s.Inputs, s.Steps} {
		for _, p := range parts {
			if p.Name != name {
				out = append(out, p.Name)
			}
		}
	}
	return out
}

// forget drops what is said about names that are gone.
func (s *Spec) forget() {
	known := map[string]bool{}
	for _, parts := range [][]Part{s.Inputs, s.Steps, s.Outputs} {
		for _, p := range parts {
			known[p.Name] = true
		}
	}
	for _, list := range []*[]Key{&s.Tuning, &s.Accuracy, &s.Formats} {
		*list = slices.DeleteFunc(*list, func(k Key) bool {
			name, _, _ := strings.Cut(k.Name, ".")
			return !known[name]
		})
	}
}

// replace puts another name in the place of one that is gone; it tells whether nothing named it.
func (s *Spec) replace(name, by string) (unused bool) {
	word := regexp.MustCompile(`(^|[^a-z0-9_.])` + regexp.QuoteMeta(name) + `(\.[a-z]+)?($|[^a-z0-9_])`)
	unused = true
	for _, parts := range [][]Part{s.Steps, s.Outputs} {
		for i := range parts {
			for j := range parts[i].Keys {
				k := &parts[i].Keys[j]
				if k.Name == "kind" || k.Name == "unit" || k.Name == "raw" || k.Name == "response" || !word.MatchString(k.Text) {
					continue
				}
				unused = false
				if by != "" {
					k.Text = word.ReplaceAllString(k.Text, "${1}"+by+"${3}")
				}
			}
		}
	}
	return unused
}

var numbers = regexp.MustCompile(`-?[0-9]+(\.[0-9]+)?(e[+-]?[0-9]+)?`)

// simplerTexts writes numbers with fewer digits, and the rate and target in their plainest form.
func (s *Spec) simplerTexts() (out []*Spec) {
	add := func(change func(*Spec)) {
		c := s.clone()
		change(c)
		out = append(out, c)
	}
	add(func(c *Spec) { c.Rate = "1 Hz" })
	add(func(c *Spec) { c.Rate = "100 Hz" })
	add(func(c *Spec) { c.Target = "" })
	simpler := func(text string, change func(*Spec, string)) {
		for _, at := range numbers.FindAllStringIndex(text, -1) {
			if at[0] > 0 && strings.ContainsAny(text[at[0]-1:at[0]], "abcdefghijklmnopqrstuvwxyz_") {
				continue // part of a name
			}
			for _, n := range plainer(text[at[0]:at[1]]) {
				add(func(c *Spec) { change(c, text[:at[0]]+n+text[at[1]:]) })
			}
		}
	}
	simpler(s.Rate, func(c *Spec, text string) { c.Rate = text })
	for _, parts := range s.sections() {
		for i, p := range *parts(s) {
			for j, k := range p.Keys {
				simpler(k.Text, func(c *Spec, text string) { (*parts(c))[i].Keys[j].Text = text })
			}
		}
	}
	for i, k := range s.Tuning {
		simpler(k.Text, func(c *Spec, text string) { c.Tuning[i].Text = text })
	}
	return out
}

// plainer are shorter ways to write about the same number, the shortest first.
func plainer(text string) (out []string) {
	x, err := strconv.ParseFloat(text, 64)
	if err != nil {
		return nil
	}
	for _, n := range []string{"0", "1", "10", digits(x, 1), digits(x, 2), digits(x, 3)} {
		if len(n) < len(text) {
			out = append(out, n)
		}
	}
	return out
}
