package formula_test

import (
	"strings"
	"testing"

	"gainwright/model/formula"
)

// TestGrouped: what stands closer together. Each formula is written with all its parentheses, and with the fewest.
func TestGrouped(t *testing.T) {
	for _, c := range []struct{ text, grouped, shortest string }{
		{"a + b * c", "(a + (b * c))", ""},
		{"a - b - c", "((a - b) - c)", ""},
		{"a - (b - c)", "(a - (b - c))", ""},
		{"a / b * c", "((a / b) * c)", ""},
		{"a/(b*c)", "(a / (b * c))", "a / (b * c)"},
		{"-a * b", "((- a) * b)", ""},
		{"- -a", "(- (- a))", "--a"},
		{"(a + b) * c", "((a + b) * c)", ""},
		{"not a < b and c or d", "(((not (a < b)) and c) or d)", ""},
		{"not (a and b)", "(not (a and b))", ""},
		{"a rises and not b falls", "((a rises) and (not (b falls)))", ""},
		{"(a < b) rises", "((a < b) rises)", ""},
		{"previous a + previous b", "((previous a) + (previous b))", ""},
		{"previous a rises", "((previous a) rises)", ""},
		{"if a < b then c else if d then e else f + 1", "(if (a < b) then c else (if d then e else (f + 1)))", ""},
		{"(if a then b else c) * 2", "((if a then b else c) * 2)", ""},
		{"a < 12.6 V and b >= 3 deg/s", "((a < 12.6 V) and (b >= 3 deg/s))", ""},
		{"3 V / r", "(3 V / r)", ""},
		{"3 V/r", "3 V/r", ""},
		{"50 % - x", "(50 % - x)", ""},
		{"0.3 1/V * u", "(0.3 1/V * u)", ""},
		{"1/u", "(1 / u)", "1 / u"},
		{"2e3 Hz", "2e3 Hz", ""},
		{"clamp(x, -1, max(a, b))", "clamp(x, (- 1), max(a, b))", ""},
		{"  move( from ,to , 0.5 )", "move(from, to, 0.5)", "move(from, to, 0.5)"},
		{"rate.ready and +a > .5", "(rate.ready and (a > .5))", "rate.ready and a > .5"},
	} {
		n, errs := formula.Parse(c.text)
		if len(errs) > 0 {
			t.Errorf("%s: %v", c.text, errs)
			continue
		}
		if got := grouped(n); got != c.grouped {
			t.Errorf("%s is %s, expected %s", c.text, got, c.grouped)
		}
		want := c.shortest
		if want == "" {
			want = strings.Join(strings.Fields(c.text), " ")
			if want == "- -a" {
				want = "--a"
			}
		}
		if got := n.String(); got != want {
			t.Errorf("%s is written %s, expected %s", c.text, got, want)
		}
	}
}

func grouped(n *formula.Node) string {
	var args []string
	for _, a := range n.Args {
		args = append(args, grouped(a))
	}
	sign := n.Op.Sign()
	switch n.Op {
	case formula.If:
		return "(if " + args[0] + " then " + args[1] + " else " + args[2] + ")"
	case formula.Not, formula.Neg:
		return "(" + sign + " " + args[0] + ")"
	case formula.Rises, formula.Falls:
		return "(" + args[0] + " " + sign + ")"
	case formula.Previous:
		return "(previous " + n.Text + ")"
	case formula.Call:
		return n.Text + "(" + strings.Join(args, ", ") + ")"
	case formula.Name, formula.Number:
		return n.String()
	}
	return "(" + args[0] + " " + sign + " " + args[1] + ")"
}

// TestWrong: each mistake is told at its own character, with what to write instead; several at once where the rest can be read.
func TestWrong(t *testing.T) {
	for _, c := range []struct {
		text string
		want []string // character, rule, a part of the remedy
	}{
		{"", []string{"1 not-a-formula a formula such as"}},
		{"a +", []string{"4 not-a-formula a name, a number"}},
		{"a b", []string{"3 not-a-formula a sign between"}},
		{"(a + b", []string{"7 not-a-formula ) at its end"}},
		{"a + b)", []string{"6 not-a-formula without it"}},
		{"a && b || !c", []string{"3 other-sign and", "8 other-sign or", "11 other-sign not"}},
		{"a == b", []string{"3 other-sign abs(a - b) < 0.5"}},
		{"a != b && c", []string{"3 other-sign abs(a - b) > 0.5", "8 other-sign and"}},
		{"x^2 + 1", []string{"2 other-sign x * x"}},
		{"x ** 2", []string{"3 other-sign x * x"}},
		{"c ? a : b", []string{"3 other-sign if c then a else b"}},
		{"a < b < c", []string{"7 not-a-formula a < b and b < c"}},
		{"1 < (2 < (3 < x < 4) < 5) < 6", []string{"17 not-a-formula 3 < x and x < 4"}},
		{"a AND b", []string{"3 other-word and"}},
		{"if a then b", []string{"12 not-a-formula if c then a else b"}},
		{"1 + if a then b else c", []string{"5 not-a-formula ( before the if"}},
		{"12V + x", []string{"1 not-a-number 12 V"}},
		{"0x10 * x", []string{"1 not-a-number 16"}},
		{"007 * x", []string{"1 not-a-number 7"}},
		{"a, b", []string{"2 not-a-formula a function such as"}},
		{"[a] => b", []string{"1 other-sign (", "3 other-sign )", "5 other-sign >="}},
		{"x @ y", []string{"3 strange-sign names, numbers"}},
		{"previous 3", []string{"10 not-a-formula previous and the name"}},
		{"a % b", []string{"3 other-sign wrap"}},
		{"a and else b", []string{"7 not-a-formula a name"}},
		{strings.Repeat("(", 40) + "a" + strings.Repeat(")", 40), []string{"33 formula-too-deep a step of its own"}},
		{strings.Repeat("-", 500) + "a", []string{"33 formula-too-deep"}},
		{"a" + strings.Repeat(" + a", 200), []string{"399 formula-too-long two formulas"}},
	} {
		_, errs := formula.Parse(c.text)
		if len(errs) != len(c.want) {
			t.Errorf("%.60s: %d errors, expected %d: %v", c.text, len(errs), len(c.want), errs)
			continue
		}
		for i, e := range errs {
			var at int
			rest := c.want[i]
			for rest[0] >= '0' && rest[0] <= '9' {
				at, rest = 10*at+int(rest[0]-'0'), rest[1:]
			}
			rule, remedy, _ := strings.Cut(strings.TrimSpace(rest), " ")
			if e.At+1 != at || e.Rule != rule || !strings.Contains(e.Remedy, remedy) || e.Message == "" {
				t.Errorf("%.60s: %d %s: %s; write %s; expected %s", c.text, e.At+1, e.Rule, e.Message, e.Remedy, c.want[i])
			}
		}
	}
}

// FuzzParse: no text makes the reader fail, every place lies inside the text, and what was read is read again from what it is written as.
func FuzzParse(f *testing.F) {
	for _, text := range []string{"a + b * 2.5 V/s", "if not a rises then clamp(x, -1, 1) else previous y", "a && b ? 1 : 2", "((a", "1 1/V 1/1/V", "0x1f_0 % 3", "x.y.z < 3 % and q", "3 s*s"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		if len(text) > 1024 {
			return
		}
		n, errs := formula.Parse(text)
		for _, e := range errs {
			if e.At < 0 || e.At > len(text) || e.Message == "" || e.Remedy == "" || e.Rule == "" {
				t.Errorf("%q: %+v", text, e)
			}
		}
		if n == nil && len(errs) == 0 {
			t.Errorf("%q is read as nothing, and nothing is wrong", text)
		}
		n.Names(func(name string, at int, _ bool) {
			if at < 0 || at+len(name) > len(text) || !strings.EqualFold(text[at:at+len(name)], name) {
				t.Errorf("%q: the name %s does not stand at %d", text, name, at)
			}
		})
		if len(errs) > 0 {
			return
		}
		again, errs := formula.Parse(n.String())
		if len(errs) > 0 || again.String() != n.String() || grouped(again) != grouped(n) {
			t.Errorf("%q is written %q, which is read as %v, %v", text, n, again, errs)
		}
	})
}
