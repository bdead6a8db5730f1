package c

import (
	"bytes"
	"regexp"
	"strings"
	"testing"

	"gainwright/gen/contract"
	"gainwright/model"
	"gainwright/model/selection"
)

// TestAnEditedConstantDoesNotCompile changes each number of the constants in turn.
func TestAnEditedConstantDoesNotCompile(t *testing.T) {
	u := cart(t)
	dir := emit(t, u)
	header := string(Header(u))
	if out, err := run(dir, nil, "cc", "-std=c99", "-fsyntax-only", "-x", "c", "cart.h"); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	constants := header[strings.Index(header, "Constants ---"):strings.Index(header, "typedef char cart_constants")]
	number := regexp.MustCompile(`\b[0-9]+\b`)
	edits := 0
	for _, line := range strings.Split(constants, "\n") {
		code, _, _ := strings.Cut(line, "/*")
		if strings.Contains(code, "_ENTRY(") || strings.Contains(code, "_WEIGHED(") || !strings.Contains(code, "#define") && !strings.Contains(code, "E(") {
			continue
		}
		places := number.FindAllStringIndex(code, -1)
		last := places[len(places)-1] // in a table the last entry of the line stands for it
		edited := strings.Replace(header, line, line[:last[0]]+"1"+line[last[0]:], 1)
		write(t, dir, map[string][]byte{"edited.h": []byte(edited)})
		out, err := run(dir, nil, "cc", "-std=c99", "-fsyntax-only", "-x", "c", "edited.h")
		if err == nil {
			t.Errorf("compiles in spite of an edit: %s", line)
		} else if !bytes.Contains(out, []byte("as_generated")) {
			t.Errorf("the message does not name the guard: %s", out)
		}
		edits++
	}
	if edits < 20 {
		t.Errorf("%d edits were tried, 20 were expected", edits)
	}
}

// TestSwappedConstantsDoNotCompile exchanges two limits.
func TestSwappedConstantsDoNotCompile(t *testing.T) {
	u := cart(t)
	header := string(Header(u))
	swap := strings.NewReplacer("CART_TILT_HIGH ", "CART_EFFORT_HIGH ", "CART_EFFORT_HIGH ", "CART_TILT_HIGH ")
	end := strings.Index(header, "typedef char cart_constants")
	dir := t.TempDir()
	write(t, dir, map[string][]byte{"cart.h": []byte(swap.Replace(header[:end]) + header[end:])})
	if out, err := run(dir, nil, "cc", "-std=c99", "-fsyntax-only", "-x", "c", "cart.h"); err == nil {
		t.Error("two constants changed places and it compiles")
	} else if !bytes.Contains(out, []byte("as_generated")) {
		t.Errorf("the message does not name the guard: %s", out)
	}
}

// TestFilesOfTwoSpecsDoNotCompile mixes a header with the other files of an older spec.
func TestFilesOfTwoSpecsDoNotCompile(t *testing.T) {
	u := cart(t)
	dir := emit(t, u)
	u.Spec.Hash = "00000001" + u.Spec.Hash[8:]
	write(t, dir, map[string][]byte{"cart.h": Header(u)})
	for _, file := range []string{"cart_stream.c", "cart_vectors.h"} {
		out, err := run(dir, nil, "cc", "-std=c99", "-fsyntax-only", "-x", "c", file)
		if err == nil || !bytes.Contains(out, []byte("comes from another spec")) {
			t.Errorf("%s: %v\n%s", file, err, out)
		}
	}
}

// all is everything written for a unit.
func all(u *model.Unit) map[string]string {
	return map[string]string{"header": string(Header(u)), "small header": string(HeaderFor(u, selection.Size)), "stream": string(Stream(u)),
		"vectors": string(Vectors(u, DefaultTicks)), "board": string(Board(u, DefaultTicks)), "loop": string(LoopExample(u))}
}

// TestTextIsNarrowASCII also runs over a spec with names as long as they may be.
func TestTextIsNarrowASCII(t *testing.T) {
	units := append(samples(t), randomUnit(t, 5), longNames(t))
	for _, u := range units {
		for file, text := range all(u) {
			for i, line := range strings.Split(text, "\n") {
				if len(line) > maxColumns {
					t.Errorf("%s of %s, line %d has %d columns: %s", file, u.Spec.Name, i+1, len(line), line)
				}
				if strings.TrimRight(line, " ") != line {
					t.Errorf("%s of %s, line %d ends in blanks: %q", file, u.Spec.Name, i+1, line)
				}
				if strings.IndexFunc(line, func(r rune) bool { return r < ' ' || r > '~' }) >= 0 {
					t.Errorf("%s of %s, line %d is not printable ASCII: %q", file, u.Spec.Name, i+1, line)
				}
			}
		}
	}
}

func longNames(t testing.TB) *model.Unit {
	u := cart(t)
	u.Spec.Name = "a_controller_of_32_characters_ab"
	u.Integer.Name = u.Spec.Name
	for i := range u.Integer.Ops {
		u.Integer.Ops[i].Name += "_of_front_wheel"
	}
	for i := range u.Integer.States {
		u.Integer.States[i].Name += "_of_front_wheel"
	}
	for i := range u.Integer.Inputs {
		u.Integer.Inputs[i].Name += "_of_front_wheel"
	}
	return u
}

func TestLongNamesCompile(t *testing.T) { sameBits(t, longNames(t), 500) }

// TestHostileText puts texts that break comments into every place of a spec that ends up in one.
func TestHostileText(t *testing.T) {
	for _, evil := range []string{"*/ int x; /*", "/* */ #error", "what??/", "ends in \\", "*\\", "??)", "caf\u00e9\u2028line", "two\nlines\r#error", "//go:build", "% d {{.}}"} {
		u := cart(t)
		p := u.Integer
		u.Spec.About, u.Spec.Target, u.Spec.File = evil, evil, evil+"/"+evil
		for i := range p.Ops {
			p.Ops[i].Doc, p.Ops[i].Unit = evil, evil
		}
		for i := range p.Inputs {
			p.Inputs[i].Unit = evil
		}
		for i := range p.Outputs {
			p.Outputs[i].Unit = evil
		}
		for i := range p.States {
			p.States[i].Doc, p.States[i].Unit = evil, evil
		}
		for i := range p.Gains {
			p.Gains[i].Unit, p.Gains[i].Key = evil, evil
		}
		for i := range p.Sections {
			s := &p.Sections[i]
			s.Sentence, s.Equation, s.Kind, s.Name = evil, evil, evil, evil
			for j := range s.Signals {
				s.Signals[j].Name = evil
			}
		}
		for i := range u.Constants {
			u.Constants[i].Name, u.Constants[i].Unit = evil, evil
		}
		sameBits(t, u, 50)
		for file, text := range all(u) {
			if strings.Contains(text, "??") {
				t.Errorf("%s holds a trigraph's start: %q", file, contract.Plain(evil))
			}
		}
	}
}

func TestOnlyWhatIsUsed(t *testing.T) {
	text := string(Header(edges(t)))
	if strings.Contains(text, "_DEAD") || strings.Contains(text, "dead ") && strings.Contains(text, "const int32_t dead") {
		t.Error("an operation that nothing depends on is emitted")
	}
	text = string(Header(bare(t)))
	for _, absent := range []string{"_round", "_clamp", "take_gains", "in_use", "set_", "IN_X"} {
		if strings.Contains(text, absent) {
			t.Errorf("%s is emitted and not used", absent)
		}
	}
}

func TestSameTextEveryTime(t *testing.T) {
	for range 3 {
		if !bytes.Equal(Header(cart(t)), Header(cart(t))) || !bytes.Equal(Vectors(cart(t), 64), Vectors(cart(t), 64)) {
			t.Fatal("two runs differ")
		}
	}
}
