package report

import (
	"bytes"
	"errors"
	"math"
	"regexp"
	"strings"
	"testing"

	"gainwright/gen/document"
	"gainwright/model"
	"gainwright/model/loop"
	"gainwright/model/tier"
	"gainwright/templates"
)

var starters = []string{"cart", "heading", "incubator", "pan", "spindle"}

// input compiles a spec and simulates it.
func input(t *testing.T, name string, src []byte) Input {
	t.Helper()
	in, err := Of(model.Compile(name, src), nil)
	if err != nil {
		t.Fatal(err)
	}
	return in
}

var compiled = map[string]Input{}

// starter is the input of a starter's report. It is made once, since that takes seconds, and is not to be changed.
func starter(t *testing.T, name string) Input {
	t.Helper()
	if _, done := compiled[name]; !done {
		compiled[name] = input(t, name+".yaml", templates.Starter(name))
	}
	return compiled[name]
}

func render(t *testing.T, in Input) string {
	t.Helper()
	page, err := in.Document().Page()
	if err != nil {
		t.Fatal(err)
	}
	return string(page)
}

// foreign is anything by which a page could ask for something else or run something.
var foreign = regexp.MustCompile(`(?i)https?:|<script|<link|<iframe|<img|<image|<object|<embed|<form|<base|<use|\ssrc=|href=|srcset=|url\(|@import|javascript:|\son[a-z]+=|ZgotmplZ`)

func TestStarters(t *testing.T) {
	for _, name := range starters {
		t.Run(name, func(t *testing.T) {
			if name != "incubator" {
				tier.Slow(t)
			}
			in := starter(t, name)
			if in.Summary.Verdict == document.Bad {
				t.Fatal(in.Findings())
			}
			page := render(t, in)
			again := render(t, input(t, "some/other/folder/"+name+".yaml", templates.Starter(name)))
			if page != again {
				t.Error("the same spec gave two different pages")
			}
			if len(page) >= 2_000_000 {
				t.Errorf("%d bytes", len(page))
			}
			if found := foreign.FindString(page); found != "" {
				t.Errorf("the page holds %q", found)
			}
			wellFormed(t, page)
			for _, want := range []string{in.Summary.Conclusion().Text, "Keep an independent cut-off", `content="default-src 'none'; style-src 'unsafe-inline'"`, "Formats and headroom", "Rounding, at most"} {
				if !strings.Contains(page, want) {
					t.Errorf("%q is missing", want)
				}
			}
			if strings.Contains(page, "Cost of a tick") != (in.Unit.Cost != nil) {
				t.Error("cost")
			}
			for _, sentence := range in.Summary.Words {
				if !strings.Contains(page, sentence) {
					t.Errorf("%q is missing", sentence)
				}
			}
			if in.Run != nil && strings.Count(page, "<svg") < 3*len(in.Run.System.Scenario.Watch) {
				t.Error("pictures are missing")
			}
			if v, c := strings.Index(page, `id="verdict"`), strings.Index(page, `id="cautions"`); v < 0 || c < v || strings.Index(page, `id="formats"`) < c {
				t.Error("the verdict does not come first, then the cautions, then the formats")
			}
		})
	}
}

// wellFormed checks that every picture has a title and a description of its own, that identities are unique, and
// that the pictures have neither a namespace nor a font of their own.
func wellFormed(t *testing.T, page string) {
	t.Helper()
	seen := map[string]bool{}
	for _, id := range regexp.MustCompile(`\sid="([^"]*)"`).FindAllStringSubmatch(page, -1) {
		if seen[id[1]] {
			t.Errorf("two things are called %q", id[1])
		}
		seen[id[1]] = true
	}
	pictures := regexp.MustCompile(`(?s)<svg ([^>]*)>\n<title id="([^"]*)">[^<]+</title>\n<desc id="([^"]*)">[^<]+</desc>`).FindAllStringSubmatch(page, -1)
	if n := strings.Count(page, "<svg"); len(pictures) != n || strings.Count(page, "</svg>") != n || strings.Count(page, "<g") != strings.Count(page, "</g>") {
		t.Errorf("%d pictures, %d with title and description", n, len(pictures))
	}
	for _, p := range pictures {
		if !strings.Contains(p[1], `role="img"`) || !strings.Contains(p[1], `aria-labelledby="`+p[2]+`"`) || !strings.Contains(p[1], `aria-describedby="`+p[3]+`"`) {
			t.Errorf("a picture without its text: %s", p[0])
		}
	}
	for _, bad := range []string{"NaN", "+Inf", "Liberation Sans;", "#0"} {
		if body := page[strings.Index(page, "<body"):]; strings.Contains(body, bad) {
			t.Errorf("the page holds %q", bad)
		}
	}
}

const hostile = `<script>alert(1)</script>"'><img src=x onerror=alert(1)></title></svg></style>&{{.Name}}`

// What a spec says reaches the page as text alone, wherever it stands.
func TestHostileText(t *testing.T) {
	tier.Slow(t)
	src := string(templates.Starter("cart"))
	src = strings.Replace(src, "about: Two-wheeled seedling cart that keeps its tray level.", "about: '"+strings.ReplaceAll(hostile, "'", "''")+"'", 1)
	src = strings.Replace(src, "about: a nudge", "about: '"+strings.ReplaceAll(hostile, "'", "''")+"'", 1)
	src = strings.Replace(src, "duration: 605 s", "duration: 145 s", 1)
	in := input(t, "cart.yaml", []byte(src))
	if in.Summary.Verdict == document.Bad || in.Run == nil {
		t.Fatal(in.Findings())
	}
	for _, page := range []string{
		render(t, in),
		render(t, input(t, hostile+".yaml", []byte("controller: '<script>'\n<b>: [1\n"))),
		render(t, input(t, "x.yaml", []byte("controller: cart\n\"</style><script>\": 1\n"))),
	} {
		for _, bad := range []string{"<script", "<img", "<b>", "&{{"} {
			if strings.Contains(page, bad) {
				t.Errorf("%q came through", bad)
			}
		}
		if strings.Count(page, "</title>") != 1+strings.Count(page, "<svg") || strings.Count(page, "</style>") != 1 {
			t.Error("a text closed an element")
		}
	}
	if page := render(t, in); strings.Count(page, "&lt;script&gt;alert(1)") < 3 {
		t.Error("the text itself was lost")
	}
}

// A spec with errors gives a page that says them and nothing else.
func TestErrors(t *testing.T) {
	src := strings.Replace(string(templates.Starter("cart")), "kp: 41", "kpp: 41", 1)
	in := input(t, "cart.yaml", []byte(src))
	page := render(t, in)
	if in.Document().Verdict != document.Bad || !strings.Contains(page, "Not good: 1 error.") || !strings.Contains(page, "kpp") || strings.Contains(page, `id="formats"`) {
		t.Error(page[strings.Index(page, "<body"):])
	}
}

// fallen is a cart with too little gain.
func fallen() []byte {
	src := strings.Replace(string(templates.Starter("cart")), "kp: 41, ki: 650", "kp: 2, ki: 5", 1)
	return []byte(strings.Replace(src, "duration: 605 s", "duration: 145 s", 1))
}

// A machine that falls is the first thing that is said, though the code is good.
func TestFall(t *testing.T) {
	tier.Slow(t)
	in := input(t, "cart.yaml", fallen())
	page := render(t, in)
	first := regexp.MustCompile(`(?s)class="panel (\w+)">\n<h2>Verdict</h2>\n<p class="errors">([^<]*)`).FindStringSubmatch(page)
	if in.Document().Verdict != document.Bad || first == nil || first[1] != "errors" || !strings.HasPrefix(first[2], "Not good: in the simulated scenario") || !strings.Contains(first[2], "the integer loop falls at") {
		t.Errorf("first of all stands %q", first)
	}
	wellFormed(t, page)
}

// sample is a linear view: a pair of poles, a single one, and an open loop by its formula.
func sample() *loop.View {
	v := &loop.View{Period: 0.002, Stable: [2]bool{true, true}, AtZero: 2, Notes: []string{"the gears"},
		Poles:     []loop.Pole{{Asked: loop.Point{Re: 0.9, Im: 0.2}, Stored: loop.Point{Re: 0.9, Im: 0.21}, Moved: 0.01, Pair: true}, {Asked: loop.Point{Re: 0.5}, Stored: loop.Point{Re: 0.5}}},
		Cuts:      []loop.Cut{{Output: "duty", Margins: [2]loop.Margins{{Phase: 44.1, Delay: 0.0123}, {Phase: 44.0, GainUp: 3}}}},
		Later:     []loop.Later{{Ticks: 1, Radius: [2]float64{0.97, 1.02}, Stable: [2]bool{true, false}}},
		Deviation: []loop.Deviation{{Name: "angle", Unit: "deg", Bound: 0.75}, {Name: "speed", Unit: "deg/s", Why: "it drifts"}},
		Runs:      []loop.Run{{Kind: loop.Quiet, Seed: 1, Seconds: 60, Largest: []float64{0.0625, 3}, Speaks: true}, {Kind: loop.AsWritten, Seed: 1, Seconds: 60, Largest: []float64{0.5, 4}, Acted: 7, ActedBy: "push", From: 9}}}
	for i := range v.Cuts[0].Bode {
		b := &v.Cuts[0].Bode[i]
		for k := range 200 {
			w := math.Pow(10, -1+3*float64(k)/199)
			b.Hz, b.Gain, b.Phase = append(b.Hz, w), append(b.Gain, 1/(w*math.Hypot(1, w/5))), append(b.Phase, -90-math.Atan(w/5)*180/math.Pi)
		}
	}
	return v
}

func TestLinear(t *testing.T) {
	in := starter(t, "pan")
	in.Run, in.Turning, in.Linear = nil, nil, sample() // gains are turned in runs
	page := render(t, in)
	wellFormed(t, page)
	for _, want := range []string{"Gain of the open loop", "Phase of the open loop", "Poles of the sampled closed loop", "Taken as linear: the gears.", "has the size 0.924175 as stored and 0.921954 as asked",
		"0.900000 ± 0.210000i", ">0.0123<", ">any<", "1.020000, not stable", "at 0: delays", "No bound for speed: it drifts.", ">0.0625<", "0.5 *", "one acted in 7 ticks, last push before 9 s", "Good: the loop as a linear system is stable"} {
		if !strings.Contains(page, want) {
			t.Errorf("%q is missing", want)
		}
	}
	in.Linear.Stable[1] = false
	if bad := render(t, in); in.Document().Verdict != document.Bad || !strings.Contains(bad, "<p class=\"errors\">Not good: the loop as a linear system is not stable with the gains stored") || !strings.Contains(bad, `class="panel errors"`) {
		t.Error("a loop that is not stable counts as good")
	}
	in.Linear, in.NoView = nil, errors.New("its delays are too long")
	if none := render(t, in); strings.Contains(none, "<svg") || !strings.Contains(none, "no linear view of the loop: its delays are too long.") {
		t.Error("nothing is said where there is no view")
	}
}

func TestWitnesses(t *testing.T) {
	tier.Slow(t)
	in := input(t, "incubator.yaml", templates.Starter("incubator"))
	before := render(t, in)
	in.Summary.Witnesses = &document.Table{Columns: document.Labels("signal|>share")}
	in.Summary.Witnesses.Add(document.Cell{Text: "smooth"}, document.Cell{Text: "98.75 %", Share: 0.9875})
	after := render(t, in)
	if strings.Contains(before, "98.75 %") || !strings.Contains(after, "98.75 %") || !strings.Contains(before, "report --witness") || strings.Contains(after, "report --witness") || !bytes.Contains([]byte(after), []byte(`style="width:98.8%"`)) {
		t.Error("witnesses are not shown as they should be")
	}
}

// TestIntegrals: the page has the table of integrals that check prints, and none where there is no integral.
func TestIntegrals(t *testing.T) {
	tier.Slow(t)
	in := starter(t, "cart")
	if len(in.Summary.Integrals.Rows) == 0 {
		t.Fatal("the cart has integrals")
	}
	page := render(t, in)
	_, after, found := strings.Cut(page, in.Summary.Integrals.Title)
	if !found {
		t.Fatal("the page has no table of integrals")
	}
	table, _, _ := strings.Cut(after, "</table>")
	text := regexp.MustCompile(`<[^>]*>|\s+`).ReplaceAllString(table, " ")
	text = strings.Join(strings.Fields(text), " ")
	for _, h := range in.Summary.Integrals.Halves() {
		for _, row := range h.Rows {
			var cells []string
			for _, c := range row {
				cells = append(cells, c.Text)
			}
			if row := strings.Join(cells, " "); len(cells) != 4 || !strings.Contains(text, row) {
				t.Errorf("%q is missing in %q", row, text)
			}
		}
	}
	none := starter(t, "cart")
	bare := *none.Summary
	bare.Integrals, none.Summary = &document.Table{Title: bare.Integrals.Title}, &bare
	if strings.Contains(render(t, none), in.Summary.Integrals.Title) {
		t.Error("a table without rows")
	}
}
