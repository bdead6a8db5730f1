package formula

import (
	"fmt"
	"math/big"
	"regexp"
	"slices"
	"strings"

	"gainwright/model/spec"
)

// sort is what a token is.
type sort uint8

const (
	end sort = iota
	name
	word   // one of words
	sign   // an operator, a bracket or a comma
	number // with its unit
)

type token struct {
	sort    sort
	at, end int
	text    string
	number  *big.Rat
	unit    string
}

// words of the language are no names.
var words = []string{"if", "then", "else", "and", "or", "not", "rises", "falls", "previous"}

var (
	numberForm = regexp.MustCompile(`^(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?`)
	nameForm   = regexp.MustCompile(`^[A-Za-z_][A-Za-z0-9_]*(\.[A-Za-z_][A-Za-z0-9_]*)*`)
	unitForm   = regexp.MustCompile(`^(1/)?[A-Za-z%][A-Za-z0-9%^.]*(/[A-Za-z%][A-Za-z0-9%^.]*)*`)
	wordForm   = regexp.MustCompile(`^[A-Za-z]+`)
	oddForm    = regexp.MustCompile(`^0[xXbBoO][0-9A-Fa-f_]+|^[0-9_]*_[0-9_]*`) // numbers of other languages
)

// otherSigns are signs of other languages, the longest first. Where as is not empty the formula is read as if it stood there.
var otherSigns = []struct{ text, as, message, remedy string }{
	{"&&", "and", "&& joins two conditions in other languages", "and"},
	{"||", "or", "|| joins two conditions in other languages", "or"},
	{"===", "", "two values are never compared for being equal: they differ by a count, or they do not, by chance", "abs(a - b) < 0.5, with how close is close enough"},
	{"==", "", "two values are never compared for being equal: they differ by a count, or they do not, by chance", "abs(a - b) < 0.5, with how close is close enough"},
	{"!=", "", "two values are never compared for being different: they differ by a count, or they do not, by chance", "abs(a - b) > 0.5, with how far is too far"},
	{"<>", "", "two values are never compared for being different: they differ by a count, or they do not, by chance", "abs(a - b) > 0.5, with how far is too far"},
	{"=>", ">=", "=> is no sign here", ">="},
	{"=<", "<=", "=< is no sign here", "<="},
	{":=", "", "a formula is one expression and assigns nothing", "the part behind := alone; the name of the step is the name of its value"},
	{"+=", "", "a formula is one expression and assigns nothing", "a step of kind integrate, which sums over time"},
	{"-=", "", "a formula is one expression and assigns nothing", "a step of kind integrate, which sums over time"},
	{"++", "+", "++ is no sign here", "+"},
	{"**", "", "no sign raises to a power", "x * x for the square of x"},
	{"->", "", "-> is no sign here", "the name of a signal, such as rate.ready"},
	{"&", "and", "& joins two conditions in other languages", "and"},
	{"|", "or", "| joins two conditions in other languages", "or"},
	{"!", "not", "! turns a condition round in other languages", "not"},
	{"~", "not", "~ turns a condition round in other languages", "not"},
	{"=", "", "two values are never compared for being equal: they differ by a count, or they do not, by chance", "abs(a - b) < 0.5, with how close is close enough"},
	{"^", "", "no sign raises to a power", "x * x for the square of x"},
	{"?", "", "? chooses between two values in other languages", "if c then a else b"},
	{":", "", "a colon has no meaning here", "if c then a else b, for a choice"},
	{"[", "(", "a formula groups with parentheses", "("},
	{"]", ")", "a formula groups with parentheses", ")"},
	{"{", "(", "a formula groups with parentheses", "("},
	{"}", ")", "a formula groups with parentheses", ")"},
	{";", "", "a formula is one expression", "a comma between the values of a function, or a step for each formula"},
	{"%", "", "no sign takes the remainder of a division", "a step of kind wrap, for an angle; or a unit behind a number, as in 50 %"},
}

// otherWords are words of other languages, and those that are meant.
var otherWords = map[string]string{"AND": "and", "OR": "or", "NOT": "not", "IF": "if", "THEN": "then", "ELSE": "else", "And": "and", "Or": "or", "Not": "not", "If": "if",
	"Then": "then", "Else": "else", "otherwise": "else", "elif": "else if", "elseif": "else if", "prev": "previous", "Previous": "previous", "rising": "rises", "falling": "falls"}

// lexer cuts a text into tokens.
type lexer struct {
	text   string
	tokens []token
	errors []Error
}

func (l *lexer) say(at int, rule, remedy, format string, args ...any) {
	l.errors = append(l.errors, Error{at, rule, fmt.Sprintf(format, args...), remedy})
}

func (l *lexer) run() {
	for at := 0; at < len(l.text); {
		rest := l.text[at:]
		c := rest[0]
		switch {
		case c == ' ' || c == '\t' || c == '\n' || c == '\r':
			at++
		case c >= '0' && c <= '9' || c == '.' && numberForm.MatchString(rest):
			at = l.number(at)
		case nameForm.MatchString(rest):
			at = l.word(at, nameForm.FindString(rest))
		default:
			at = l.sign(at)
		}
	}
	l.tokens = append(l.tokens, token{sort: end, at: len(l.text), end: len(l.text)})
}

func (l *lexer) word(at int, text string) int {
	t := token{sort: name, at: at, end: at + len(text), text: text}
	if meant, other := otherWords[text]; other {
		l.say(at, "other-word", meant, "%s is no word here", text)
		first, second, more := strings.Cut(meant, " ")
		t.sort, t.text = word, first
		if l.tokens = append(l.tokens, t); more {
			t.text = second
			l.tokens = append(l.tokens, t)
		}
		return t.end
	}
	if slices.Contains(words, text) {
		t.sort = word
	}
	l.tokens = append(l.tokens, t)
	return t.end
}

func (l *lexer) sign(at int) int {
	rest := l.text[at:]
	for _, s := range []string{"<=", ">="} {
		if strings.HasPrefix(rest, s) && !strings.HasPrefix(rest, "<=>") {
			l.tokens = append(l.tokens, token{sort: sign, at: at, end: at + 2, text: s})
			return at + 2
		}
	}
	for _, o := range otherSigns {
		if !strings.HasPrefix(rest, o.text) {
			continue
		}
		if o.text != ":" || !strings.Contains(l.text[:at], "?") { // the two are one sign
			l.say(at, "other-sign", o.remedy, "%s", o.message)
		}
		t := token{sort: sign, at: at, end: at + len(o.text), text: o.as}
		if slices.Contains(words, o.as) {
			t.sort = word
		}
		l.tokens = append(l.tokens, t)
		return t.end
	}
	if strings.IndexByte("+-*/()<>,", rest[0]) < 0 {
		l.say(at, "strange-sign", "names, numbers, + - * / ( ) , < <= > >= and words", "the sign %q has no meaning in a formula", rest[:1])
		l.tokens = append(l.tokens, token{sort: sign, at: at, end: at + 1})
		return at + 1
	}
	l.tokens = append(l.tokens, token{sort: sign, at: at, end: at + 1, text: rest[:1]})
	return at + 1
}

// number reads a number and the unit behind it. A unit ends at the first space, so that 3 V / r divides by r, and 3 V/r is in V/r.
func (l *lexer) number(at int) int {
	text := numberForm.FindString(l.text[at:])
	t := token{sort: number, at: at, end: at + len(text), text: text, number: new(big.Rat)}
	if more := oddForm.FindString(l.text[at:]); len(more) > len(text) {
		text, t.end, t.text = more, at+len(more), more
	}
	x, err := spec.ParseNumber(text)
	if err != nil {
		remedy := "a number such as 12.5"
		if no, ok := err.(*spec.TextError); ok {
			remedy = no.Remedy
		}
		l.say(at, "not-a-number", remedy, "%s", err.Error())
	} else {
		t.number = x
	}
	from := t.end
	for from < len(l.text) && (l.text[from] == ' ' || l.text[from] == '\t' || l.text[from] == '\n') {
		from++
	}
	unit := unitForm.FindString(l.text[from:])
	unit = strings.TrimRight(unit, ".")
	if first := wordForm.FindString(unit); unit == "" || slices.Contains(words, first) && first == nameForm.FindString(l.text[from:]) || otherWords[first] != "" && first == unit {
		l.tokens = append(l.tokens, t)
		return t.end
	}
	if from == t.end && err == nil {
		l.say(at, "not-a-number", text+" "+unit, "expected a space between number and unit, found %s", text+unit)
	}
	if bad := spec.CheckUnit(unit); bad != nil {
		l.say(from, "bad-unit", bad.Remedy, "%s", bad.Message)
	} else {
		t.unit = unit
	}
	t.end = from + len(unit)
	l.tokens = append(l.tokens, t)
	return t.end
}

// IsWord tells whether a text is a word of the language, and so no name.
func IsWord(text string) bool { return slices.Contains(words, text) }
