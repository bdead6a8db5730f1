package formula

import "fmt"

// Parse reads a formula. Where the list of errors is not empty the formula is at most what was most likely meant; nil: that cannot be told.
func Parse(text string) (*Node, []Error) {
	l := &lexer{text: text}
	l.run()
	p := &parser{lexer: l}
	n := p.formula()
	return n, p.errors
}

type parser struct {
	*lexer
	next  int
	nodes int
	depth int
}

// stop ends a reading that cannot go on.
type stop struct{}

func (p *parser) formula() (n *Node) {
	defer func() {
		if e := recover(); e != nil {
			if _, ours := e.(stop); !ours {
				panic(e)
			}
			n = nil
		}
	}()
	if p.look().sort == end {
		p.fail(p.look(), "a formula such as 2 * x + 3", "nothing stands here, a formula is expected")
	}
	n = p.expression()
	switch t := p.look(); {
	case t.sort == end:
	case t.text == ")":
		p.fail(t, "the formula without it, or ( where it is to be opened", "this closes nothing")
	case t.text == "," && t.sort == sign:
		p.fail(t, "a decimal point, or a function such as min(a, b)", "a comma stands between values of a function alone")
	case t.sort == word && (t.text == "then" || t.text == "else"):
		p.fail(t, "if c then a else b", "%s has no if before it", t.text)
	default:
		p.fail(t, "a sign between the two, such as *", "%s follows a whole value: a sign is expected between", p.shown(t))
	}
	return n
}

// fail reports what cannot be read over. Where a sign of another language was told of at the place, that is enough.
func (p *parser) fail(t token, remedy, format string, args ...any) {
	for _, e := range p.errors {
		if e.At == t.at {
			panic(stop{})
		}
	}
	p.say(t.at, "not-a-formula", remedy, format, args...)
	panic(stop{})
}

func (p *parser) shown(t token) string {
	if t.sort == end {
		return "the end of the formula"
	}
	return fmt.Sprintf("%q", p.text[t.at:t.end])
}

func (p *parser) look() token { return p.tokens[p.next] }

func (p *parser) take() token {
	t := p.tokens[p.next]
	if t.sort != end {
		p.next++
	}
	return t
}

// is takes the token if it is that sign or word.
func (p *parser) is(text string) (token, bool) {
	if t := p.look(); t.text == text && (t.sort == sign || t.sort == word) {
		return p.take(), true
	}
	return token{}, false
}

func (p *parser) node(op Op, at token, args ...*Node) *Node {
	if p.nodes++; p.nodes > MaxNodes {
		p.say(at.at, "formula-too-long", "two formulas, each a step of its own", "the formula has more than %d names, numbers and signs", MaxNodes)
		panic(stop{})
	}
	n := &Node{Op: op, At: at.at, First: at.at, End: at.end, Args: args}
	for _, a := range args {
		n.First, n.End = min(n.First, a.First), max(n.End, a.End)
	}
	return n
}

// deeper guards what calls itself.
func (p *parser) deeper(f func() *Node) *Node {
	if p.depth++; p.depth > MaxDepth {
		p.say(p.look().at, "formula-too-deep", "a step of its own for what stands inside", "parts stand more than %d deep inside one another", MaxDepth)
		panic(stop{})
	}
	defer func() { p.depth-- }()
	return f()
}

func (p *parser) expression() *Node {
	return p.deeper(func() *Node {
		t, ok := p.is("if")
		if !ok {
			return p.or()
		}
		cond := p.or()
		p.want("then", t)
		yes := p.expression()
		p.want("else", t)
		return p.node(If, t, cond, yes, p.expression())
	})
}

// want takes a word of a choice.
func (p *parser) want(text string, of token) {
	if _, ok := p.is(text); !ok {
		p.fail(p.look(), "if c then a else b", "%s stands here, %s is expected of the if at character %d", p.shown(p.look()), text, of.at+1)
	}
}

func (p *parser) or() *Node {
	n := p.and()
	for {
		t, ok := p.is("or")
		if !ok {
			return n
		}
		n = p.node(Or, t, n, p.and())
	}
}

func (p *parser) and() *Node {
	n := p.not()
	for {
		t, ok := p.is("and")
		if !ok {
			return n
		}
		n = p.node(And, t, n, p.not())
	}
}

func (p *parser) not() *Node {
	if t, ok := p.is("not"); ok {
		return p.deeper(func() *Node { return p.node(Not, t, p.not()) })
	}
	return p.comparison()
}

var comparisons = map[string]Op{"<": Less, "<=": LessEqual, ">": Greater, ">=": GreaterEqual}

func (p *parser) comparison() *Node {
	n := p.sum()
	t := p.look()
	op, ok := comparisons[t.text]
	if !ok || t.sort != sign {
		return n
	}
	p.take()
	n = p.node(op, t, n, p.sum())
	if again := p.look(); again.sort == sign {
		if second, chained := comparisons[again.text]; chained {
			middle := n.Args[1].String()
			p.take()
			p.fail(again, fmt.Sprintf("%s and %s %s %s", n, middle, second.Sign(), p.sum()), "comparisons do not follow one another")
		}
	}
	return n
}

func (p *parser) sum() *Node {
	n := p.product()
	for {
		t := p.look()
		op := map[string]Op{"+": Add, "-": Sub}[t.text]
		if op == 0 || t.sort != sign {
			return n
		}
		p.take()
		n = p.node(op, t, n, p.product())
	}
}

func (p *parser) product() *Node {
	n := p.signed()
	for {
		t := p.look()
		op := map[string]Op{"*": Mul, "/": Div}[t.text]
		if op == 0 || t.sort != sign {
			return n
		}
		p.take()
		n = p.node(op, t, n, p.signed())
	}
}

func (p *parser) signed() *Node {
	if t, ok := p.is("-"); ok {
		return p.deeper(func() *Node { return p.node(Neg, t, p.signed()) })
	}
	if _, ok := p.is("+"); ok {
		return p.deeper(p.signed)
	}
	n := p.primary()
	for {
		t := p.look()
		op := map[string]Op{"rises": Rises, "falls": Falls}[t.text]
		if op == 0 || t.sort != word {
			return n
		}
		p.take()
		n = p.node(op, t, n)
	}
}

func (p *parser) primary() *Node {
	switch t := p.take(); {
	case t.sort == number:
		n := p.node(Number, t)
		n.Number, n.Unit, n.Text = t.number, t.unit, t.text
		return n
	case t.sort == name:
		if open, ok := p.is("("); ok {
			return p.call(t, open)
		}
		n := p.node(Name, t)
		n.Text = t.text
		return n
	case t.sort == word && t.text == "previous":
		of := p.look()
		if of.sort != name {
			p.fail(of, "previous and the name of a signal", "%s stands here, the name of a signal is expected behind previous", p.shown(of))
		}
		p.take()
		n := p.node(Previous, t)
		n.Text, n.End = of.text, of.end
		return n
	case t.sort == sign && t.text == "(":
		n := p.expression()
		p.close(t)
		return n
	case t.sort == word && t.text == "if":
		p.say(t.at, "not-a-formula", "( before the if and ) behind its last value", "a choice inside a formula stands in parentheses")
		p.next--
		return p.expression()
	case t.sort == word && t.text == "not":
		p.say(t.at, "not-a-formula", "( before the not and ) behind what it turns round", "not stands before a condition, not before a number")
		return p.deeper(func() *Node { return p.node(Not, t, p.primary()) })
	default:
		p.fail(t, "a name, a number or ( before it, or the formula without what stands before", "%s stands here, a value is expected", p.shown(t))
	}
	return nil
}

func (p *parser) close(open token) {
	if _, ok := p.is(")"); !ok {
		t := p.look()
		if t.sort == end {
			p.fail(t, "the formula with ) at its end", "the ( at character %d is not closed", open.at+1)
		}
		p.fail(t, "a sign or ) before it", "%s stands here, ) is expected of the ( at character %d", p.shown(t), open.at+1)
	}
}

func (p *parser) call(of, open token) *Node {
	var args []*Node
	if _, empty := p.is(")"); !empty {
		for {
			args = append(args, p.expression())
			if _, more := p.is(","); !more {
				break
			}
		}
		p.close(open)
	}
	n := p.node(Call, of, args...)
	n.Text, n.End = of.text, p.tokens[p.next-1].end
	return n
}
