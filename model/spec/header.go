package spec

import (
	"fmt"
	"math/big"
	"strings"

	"gainwright/model/finding"
	"gainwright/model/si"
	"gainwright/model/target"
)

const maxAbout = 200

func (r *reader) readHeader(f fields) {
	if e, ok := r.need(f, "controller", "controller: cart"); ok {
		r.readName(e)
	}
	if e, ok := f.all["about"]; ok {
		if text, ok := r.asText(e, "one line about the controller", "Cart that keeps its tray level."); ok && r.goodAbout(e, text) {
			r.spec.About = text
		}
	}
	if e, ok := r.need(f, "rate", "rate: 200 Hz"); ok {
		r.readRate(e)
	}
	if e, ok := f.all["target"]; ok {
		if text, ok := r.asChoice(e, "unknown-target", target.Hints(), target.Names()...); ok {
			r.spec.Target = text
		}
	}
	if e, ok := f.all["prefer"]; ok {
		if text, ok := r.asChoice(e, "unknown-preference", map[string]string{"": preferences[0] + ", which is what happens without this line"}, preferences...); ok {
			r.spec.Prefer = text
		}
	}
}

// preferences are what the emitted C can be made for: the numbers are the same.
var preferences = []string{"speed", "size"}

func (r *reader) readName(e entry) {
	text, ok := r.asText(e, "the controller's name", "cart")
	if !ok {
		return
	}
	r.spec.NamePos = e.value.Pos
	const suffix = "_loop"
	switch {
	case !r.goodName(text, e.path, e.value.Pos, "a controller", suffix):
		return
	case deviceName.MatchString(text):
		r.sayValue(e, "reserved-name", text+suffix, "%s cannot be a file name on Windows", text)
		return
	case strings.HasSuffix(text, "_test"):
		r.sayValue(e, "reserved-name", strings.TrimSuffix(text, "_test")+"_trial", "Go takes a package whose name ends in _test for a test")
		return
	}
	r.spec.Name = text
}

// goodAbout refuses what would end or disturb a comment of C or Go.
func (r *reader) goodAbout(e entry, text string) bool {
	if len(text) > maxAbout {
		r.sayValue(e, "too-long", "a shorter line", "a line of %d characters; at most %d are allowed", len(text), maxAbout)
		return false
	}
	good := true
	say := func(at int, remedy, message string, args ...any) {
		f := finding.Finding{Pos: e.value.Pos, Rule: "unsafe-text", Key: e.path, Remedy: remedy}
		where := fmt.Sprintf("character %d of the text", at+1)
		if col, ok := r.column(e.value, at); ok {
			f.Pos.Col, where = col, fmt.Sprintf("column %d", col)
		}
		f.Message = fmt.Sprintf(message, args...) + " (" + where + ")"
		r.fault(f)
		good = false
	}
	for _, sign := range []string{"*/", "/*"} {
		if at := strings.Index(text, sign); at >= 0 {
			say(at, strings.Replace(text, sign, "/", 1), "%s begins or ends a comment in the emitted C", sign)
		}
	}
	if at := strings.Index(text, "??"); at >= 0 {
		say(at, strings.TrimSpace(strings.ReplaceAll(strings.ReplaceAll(text, "???", "?"), "??", "?")), "?? begins a trigraph, which C compilers turn into another character")
	}
	if strings.HasSuffix(text, `\`) {
		say(len(text)-1, strings.TrimRight(text, `\ `), `a backslash at the end joins the next line to a comment in C`)
	}
	return good
}

// rateUnits tells what one of a unit is in ticks per second, or in seconds per tick.
var rateUnits = map[string]struct {
	factor *big.Rat
	period bool
}{
	"Hz": {one, false}, "kHz": {big.NewRat(1000, 1), false},
	"s": {one, true}, "ms": {big.NewRat(1, 1000), true}, "us": {big.NewRat(1, 1_000_000), true},
}

var (
	slowest = big.NewRat(1, 3600)
	fastest = big.NewRat(1_000_000, 1)
)

func (r *reader) readRate(e entry) {
	r.spec.RatePos = e.value.Pos
	const sample = "200 Hz, or 5 ms for the length of a tick"
	text, ok := r.asText(e, "the ticks per second", sample)
	if !ok {
		return
	}
	if over, under, is := strings.Cut(strings.ReplaceAll(text, " ", ""), "/"); is && over == "1" {
		if n, err := ParseNumber(under); err == nil && n.Sign() > 0 {
			r.sayValue(e, "missing-unit", under+" Hz, if a tick takes 1/"+under+" s; or "+under+" s, if a second has 1/"+under+" ticks",
				"%s may be the length of a tick in seconds or the ticks per second", text)
			return
		}
	}
	q, err := ParseQuantity(text)
	if err != nil {
		r.sayQuantity(e, "bad-quantity", err, func(u string) bool { return rateUnits[u].factor != nil }, "Hz")
		return
	}
	number := strings.Fields(text)[0]
	switch u := rateUnits[q.Unit]; {
	case u.factor != nil && q.Number.Sign() < 0:
		r.sayValue(e, "bad-rate", strings.TrimPrefix(text, "-"), "expected a rate above 0, found %s", quote(text))
	case u.factor != nil && q.Number.Sign() == 0:
		r.sayValue(e, "bad-rate", sample, "expected a rate above 0, found %s", quote(text))
	case u.factor != nil:
		rate := new(big.Rat).Mul(q.Number, u.factor)
		if u.period {
			rate.Inv(rate)
		}
		if rate.Cmp(slowest) < 0 || rate.Cmp(fastest) > 0 {
			r.sayValue(e, "bad-rate", "the rate at which the timer calls the controller",
				"expected a rate between one tick an hour and 1000 kHz, found %s", quote(text))
			return
		}
		r.spec.Rate = rate
	case q.Unit == "" && q.Number.Sign() <= 0:
		r.sayValue(e, "bad-rate", sample, "expected a rate above 0 with its unit, found %s", quote(text))
	case q.Unit == "":
		r.sayValue(e, "missing-unit", number+" Hz, or "+number+" ms for the length of a tick", "%s may be ticks per second or the length of a tick", number)
	default:
		remedy := q.In("Hz") + ", or the length of a tick in s"
		if _, isTime := si.Change(1, q.Unit, "s"); isTime {
			remedy = q.In("s")
		}
		for name := range rateUnits {
			if strings.EqualFold(name, q.Unit) {
				remedy = number + " " + name
			}
		}
		r.sayValue(e, "wrong-unit", remedy, "expected Hz or kHz, or s, ms or us for the length of a tick, found %s", quote(q.Unit))
	}
}
