package main

import (
	"fmt"
	"slices"
	"strings"

	"gainwright/gen/caution"
	"gainwright/gen/contract"
	"gainwright/gen/summary"
	"gainwright/model"
	"gainwright/model/finding"
)

// printCheck prints a summary for people.
func printCheck(p *paper, s *summary.Summary, all bool) {
	p.findings(s.Findings)
	if s.Verdict != summary.Errors {
		if len(s.Findings) > 0 {
			p.line("")
		}
		p.line("%s: %s", s.Spec.File, s.Spec.Title())
		p.line("%g Hz, target %s, %d operations a tick", s.Spec.RateHz, s.Spec.Target, s.Operations)
		printSettings(p, s.Settings)
		printValues(p, "Signals", s.Signals)
		p.line("  Qm.n: m integer bits besides the sign, n fraction bits; x 1/131: of a unit of 1/131.")
		printValues(p, "States", s.States)
		printConstants(p, s.Constants, all)
		printLiveGains(p, s.LiveGains)
		printIntegrals(p, s.Integrals)
		printBounds(p, s)
		printWitnesses(p, s.Witnesses)
		printCost(p, s.Cost)
	}
	p.line("")
	p.conclusion(s)
}

func (p *paper) conclusion(s *summary.Summary) {
	tint := map[summary.Verdict]string{summary.Good: "1;32", summary.Warnings: "1;33", summary.Errors: "1;31"}[s.Verdict]
	p.line("%s", p.tint(tint, s.Conclusion()))
	if slices.ContainsFunc(s.Findings, func(f finding.Finding) bool { return strings.HasPrefix(f.Rule, "unknown-k") || f.Rule == "missing-key" }) {
		p.line("What can stand in a spec: gainwright help spec, gainwright help steps")
	}
}

func printSettings(p *paper, list []summary.Setting) {
	var rows [][]string
	for _, s := range list {
		tick, live := "", ""
		switch {
		case s.PerTick != nil:
			tick = s.Tick() + " per tick"
		case s.Tick() != "":
			tick = s.Tick() + " ticks"
		}
		if s.Live != nil {
			live = "live in " + s.Range() + ", set in counts of " + s.Count
		}
		rows = append(rows, []string{s.Step + "." + s.Name, s.Text(), tick, live})
	}
	if len(rows) > 0 {
		p.heading("Gains and filters, as asked, per second and per tick")
		p.table("|||", rows)
	}
}

func printValues(p *paper, title string, list []summary.Value) {
	if len(list) == 0 {
		return
	}
	p.heading("%s", title)
	var rows [][]string
	for _, v := range list {
		if v.IsSwitch() {
			rows = append(rows, []string{v.Name, "switch", "", "", "0 or 1", "", ""})
			continue
		}
		rows = append(rows, []string{v.Name, v.Form, v.Type, v.PerUnit, v.Range(), v.Unit, fmt.Sprintf("%.1f", v.Headroom)})
	}
	p.table("name|format|type|>counts per unit|>certified range|unit|>headroom, bits", rows)
}

func printConstants(p *paper, list []summary.Constant, all bool) {
	var rows [][]string
	exact := 0
	for _, c := range list {
		if c.Exact {
			exact++
		}
		if c.Exact && !all {
			continue
		}
		rows = append(rows, []string{c.Name, c.AskedText(), c.StoredText(), c.ErrorText(), fmt.Sprint(c.Count), c.Note()})
	}
	p.heading("Constants: %d of %d are stored exactly", exact, len(list))
	p.table("name|asked|>stored|>error|>count|", rows)
}

func printLiveGains(p *paper, list []summary.LiveGain) {
	var rows [][]string
	for _, l := range list {
		rows = append(rows, []string{l.Gain, l.SmallestText(), l.WithinText(), l.WorstText()})
	}
	if len(rows) > 0 {
		p.heading(summary.LiveGainsTitle)
		p.table("gain|>"+summary.SmallestGain+"|>"+summary.WithinGain+"|>"+summary.WorstGain, rows)
	}
}

func printIntegrals(p *paper, list []summary.Integral) {
	var rows [][]string
	for _, i := range list {
		rows = append(rows, []string{i.Step, i.SmallestText(), i.WindUpText(), i.LargestText()})
	}
	if len(rows) > 0 {
		p.heading(summary.IntegralsTitle)
		p.table("step|"+summary.SmallestHead+"|"+summary.WindUpHead+"|"+summary.LargestHead, rows)
	}
}

func printBounds(p *paper, s *summary.Summary) {
	if len(s.Bounds) == 0 {
		return
	}
	p.heading("Rounding at most, at any tick, against real numbers with the stored constants")
	var rows [][]string
	for _, b := range s.Bounds {
		rows = append(rows, []string{b.Signal, b.Kind, b.OwnText(), b.TotalText(), b.AskedText()})
	}
	p.table("signal|step|of the step itself|in all, from the raw inputs to here|against the constants as asked", rows)
	p.heading("In words")
	for _, sentence := range s.InWords() {
		p.text("  ", sentence)
	}
}

// cautions prints those for the machine of the spec.
func (p *paper) cautions(u *model.Unit) {
	p.line("")
	p.text("", strings.Join(caution.Brief(u), " "))
}

// text prints running text, folded.
func (p *paper) text(indent, text string) {
	for _, line := range contract.Wrap(indent, text) {
		p.line("%s", line)
	}
}

// printBrief prints the findings, the constants that changed, the bounds in words and the verdict.
func printBrief(p *paper, s *summary.Summary) {
	p.findings(s.Findings)
	printValues(p, "Signals", s.Signals)
	printConstants(p, s.Constants, false)
	p.heading("Rounding in words")
	for _, sentence := range s.InWords() {
		p.text("  ", sentence)
	}
	p.line("")
	p.conclusion(s)
}

func printWitnesses(p *paper, list []summary.Witness) {
	if len(list) == 0 {
		return
	}
	p.heading("How close inputs come to the bounds, each sequence run bit-exactly")
	var rows [][]string
	for _, w := range list {
		rows = append(rows, []string{w.Signal, w.What, fmt.Sprintf("%.6g", w.Bound), fmt.Sprintf("%.6g", w.Reached), w.Unit, fmt.Sprintf("%.2f %%", 100*w.Share), w.How})
	}
	p.table("signal||>bound|>reached|unit|>share|by", rows)
}

func printCost(p *paper, c *summary.Cost) {
	if c == nil {
		return
	}
	p.heading("Cost of a tick on %s, by table: about %.0f %s", c.Target, c.Tick, c.Unit)
	var rows [][]string
	for _, s := range c.Steps {
		rows = append(rows, []string{s.Step, fmt.Sprintf("%.0f", s.Cost)})
	}
	p.table("|>", rows)
	p.line("  %s", c.Error)
	if c.Wide > 0 {
		p.line("  With 32 bits for every number it would be about %.0f, %.2f times as much.", c.Wide, c.Wide/c.Tick)
	}
	switch {
	case c.Searched == 0:
	case len(c.Changes) == 0:
		p.line("  %s", c.InVain())
	default:
		p.line("  %d changes of formats were tried; taken:", c.Searched)
		for _, ch := range c.Changes {
			p.line("    %s", ch)
		}
	}
}
