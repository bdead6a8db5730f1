package document

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"

	"gainwright/gen/document/chart"
	"gainwright/model/finding"
)

// sample has every part, and every tone.
func sample() *Document {
	t := &Table{Title: "Gains", Rest: "Exact", Columns: Columns("name:name|hidden|value:>value|:note")}
	t.Put(Word("kp"), true, Both("<12>", 12), Cell{Text: "bad", Tone: Bad})
	t.Add(Word("long_name"), Cell{}, Cell{Text: "", Value: Null}, Cell{})
	t.Add(Word("exact"), Cell{}, Both("3", 3), Cell{Text: "a", Share: 0.25})
	t.Rows[2].Minor = true
	return &Document{Tool: "tool", Spec: Spec{File: "a.yaml", RateHz: 200, Target: "part"}, Verdict: Caution, Data: Object{{"gains", t}, {"", struct{ N int }{7}}, {"", struct{}{}}},
		Parts: []Part{
			Chapter{ID: "one", Title: "Chapter", Tone: Good, Parts: []Part{Line("Good words that start as they like"), Findings{{Severity: finding.Error, Rule: "r", Message: "m"}}}},
			Heading("Head"), Say("%s", strings.Repeat("word ", 20)), Aside("aside"), t, Note("note"), List{"one", "two"},
			Figures{"Figures", []Picture{{chart.Picture{ID: "p", Title: "t", Description: "d"}, "caption"}}},
			Gap{}, Sentence{"at the margin", Caution, running}, Judge(true, "Not good is what it says"), Judge(false, "Good is what it says")}}
}

func TestText(t *testing.T) {
	var out bytes.Buffer
	p := Paper{Writer: &out}
	p.Print(sample().Parts...)
	word := "word word word word word word word word word word word word word word word word word"
	want := "Good words that start as they like\n: error: m [r]\n\nHead\n  " + word + "\n  word word word\n\nGains\n  name       value  note\n  kp          <12>  bad\n  long_name\n" +
		"  note\n    one\n    two\n\nat the margin\nNot good is what it says\nGood is what it says\n"
	if out.String() != want {
		t.Errorf("%s\nexpected\n%s", out.String(), want)
	}
	out.Reset()
	p.Minor = true
	p.Print(sample().Parts...)
	if !strings.Contains(out.String(), "\n  exact          3  a\n") {
		t.Errorf("minor rows are missing: %s", out.String())
	}
}

// Colours follow the tone that was given, whatever the words are, and nothing is coloured unless it is asked for.
func TestColour(t *testing.T) {
	var out bytes.Buffer
	p := Paper{Writer: &out, Colour: true}
	p.Print(sample().Parts...)
	if !strings.HasPrefix(out.String(), "Good words") {
		t.Errorf("a neutral sentence is coloured: %q", out.String())
	}
	for _, want := range []string{"\x1b[1;32mNot good is what it says\x1b[0m\n", "\x1b[1;31mGood is what it says\x1b[0m\n", "\x1b[1;33mat the margin\x1b[0m\n", "\x1b[1mHead\x1b[0m",
		": \x1b[1;31merror\x1b[0m: m", "  kp          <12>  \x1b[1;31mbad\x1b[0m\n"} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("%q is missing in %q", want, out.String())
		}
	}
}

func TestJSON(t *testing.T) {
	var out, flat bytes.Buffer
	if err := sample().JSON(&out); err != nil {
		t.Fatal(err)
	}
	if err := json.Compact(&flat, out.Bytes()); err != nil {
		t.Fatal(err)
	}
	want := `{"tool":"tool","spec":{"file":"a.yaml","sha256":"","controller":"","about":"","rate_hz":200,"target":"part"},"verdict":"warnings",` +
		`"gains":[{"name":"kp","hidden":true,"value":12},{"name":"long_name","value":null},{"name":"exact","value":3}],"N":7}`
	if flat.String() != want {
		t.Errorf("%s\nexpected\n%s", flat.String(), want)
	}
}

func TestPage(t *testing.T) {
	page, err := sample().Page()
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"<h1>a.yaml</h1>", "a.yaml, 200 ticks a second, for part", `<section id="one" class="panel good">`, "<h3>Head</h3>", "<p>aside</p>", "<li>two</li>", "<figcaption>caption</figcaption>",
		`<td class="number" data-label="value">&lt;12&gt;</td>`, `<td class="errors" data-label="note">bad</td>`, "<summary>Exact: 1</summary>", `width:25.0%`, `<p class="errors">Good is`, `<p class="good">Not good is`} {
		if !strings.Contains(string(page), want) {
			t.Errorf("%q is missing in %s", want, page)
		}
	}
}
