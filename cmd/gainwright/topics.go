package main

import (
	"fmt"
	"slices"
	"strings"

	"gainwright/model/plant"
	"gainwright/model/steps"
	"gainwright/templates"
)

// topics are what `gainwright help` knows besides the commands: how a spec is written.
var topics = []struct {
	name, about string
	show        func(p *paper)
}{
	{"spec", "every section and key of a spec, in an example that works", func(p *paper) { fmt.Fprint(p, templates.Annotated) }},
	{"steps", "the kinds of step", printSteps},
	{"plants", "the kinds of plant for simulate", printPlants},
	{"measures", "what simulate measures, and what a scenario can ask", printMeasures},
}

// topicList is the part of the help that names the topics.
func topicList() string {
	var b strings.Builder
	for _, t := range topics {
		fmt.Fprintf(&b, "  help %-9s %s\n", t.name, t.about)
	}
	b.WriteString("  help KIND      the keys of one kind, as in: gainwright help pid\n")
	return b.String()
}

// topicNames lists what can be asked for: topics, then kinds.
func topicNames() (names []string) {
	for _, t := range topics {
		names = append(names, t.name)
	}
	for _, k := range steps.Kinds() {
		names = append(names, k.Name)
	}
	for _, k := range plant.Kinds() {
		names = append(names, k.Name)
	}
	return names
}

// showTopic prints the topic or kind of that name and tells whether there is one.
func showTopic(p *paper, name string) bool {
	for _, t := range topics {
		if t.name == name {
			t.show(p)
			return true
		}
	}
	if k := steps.Find(name); k != nil {
		if slices.ContainsFunc(k.Params, func(q steps.Param) bool { return q.Form == steps.Formula }) {
			printFormula(p, k)
		} else {
			printStep(p, k)
		}
		return true
	}
	for _, k := range plant.Kinds() {
		if k.Name == name {
			printPlant(p, k)
			return true
		}
	}
	return false
}

func printSteps(p *paper) {
	p.line("Kinds of step")
	var rows [][]string
	for _, k := range steps.Kinds() {
		rows = append(rows, []string{k.Name, k.Doc})
	}
	p.table("", "|", rows)
	p.line("\nThe keys of one of them: gainwright help pid")
}

func printStep(p *paper, k *steps.Kind) {
	p.line("%s: %s\n\n  %s\n  Source: %s", k.Name, k.Doc, k.Equation, k.Source)
	sample := []string{"kind: " + k.Name}
	var rows [][]string
	for _, q := range k.Params {
		_, how := q.Written()
		mark := ""
		switch {
		case q.Required:
			mark = "needed"
			sample = append(sample, q.Key+": "+how)
		case q.Tunable:
			mark = "may be live"
		}
		doc := q.Doc
		switch {
		case len(q.Choices) > 0:
			how, doc = q.Choices[0], strings.Join(q.Choices, ", ")+"; "+doc
		case q.Form == steps.Quantity && !q.Required:
			how = "1.5" // a unit may stand behind it, and hangs on the signals
		}
		rows = append(rows, []string{q.Key, mark, how, doc})
	}
	p.table("Keys", "key||such as|meaning", rows)
	if slices.ContainsFunc(k.Params, func(q steps.Param) bool { return len(q.Choices) > 0 }) {
		p.line("  Where one of several words is taken, the first stands unless another is given.")
	}
	rows = nil
	for _, q := range steps.OfAnyKind {
		if !slices.ContainsFunc(k.Params, func(own steps.Param) bool { return own.Key == q.Key }) {
			how := map[string]string{"start": "1.5", "every": "4 ticks", "phase": "1 tick"}[q.Key]
			rows = append(rows, []string{q.Key, how, q.Doc})
		}
	}
	p.table("Keys of any step", "key|such as|meaning", rows)
	for _, s := range k.Signals {
		p.line("\nBesides its value it has the signal NAME.%s, which other steps can name.", s)
	}
	p.line("\nAs a line below steps\n  some_name: {%s, ...}", strings.Join(sample, ", "))
}

func printPlants(p *paper) {
	p.line("Kinds of plant")
	var rows [][]string
	for _, k := range plant.Kinds() {
		rows = append(rows, []string{k.Name, k.Doc})
	}
	p.table("", "|", rows)
	p.line("\nThe numbers of one of them: gainwright help heater")
	p.table("Numbers of an actuator, each optional but full and gives", "key|unit|meaning", numberRows(plant.ActuatorNumbers, "the output's"))
	printUsual(p, plant.ActuatorNumbers)
	p.table("Numbers of a sensor, each optional", "key|unit|meaning", numberRows(plant.SensorNumbers, "the input's"))
	printUsual(p, plant.SensorNumbers)
	p.line("\nAll of them, the supply and the scenario in an example: gainwright help spec")
}

func numberRows(numbers []plant.Param, own string) (rows [][]string) {
	for _, q := range numbers {
		rows = append(rows, []string{q.Key, strings.Replace(q.Unit, plant.OwnUnit, own, 1), q.Doc})
	}
	return rows
}

// printUsual tells the values that are usual, where any are known.
func printUsual(p *paper, numbers []plant.Param) {
	var rows [][]string
	for _, q := range numbers {
		if q.Typical != "" {
			rows = append(rows, []string{q.Key, q.Typical})
		}
	}
	if len(rows) > 0 {
		p.table("Usual values, and where they are from", "|", rows)
	}
}

func printPlant(p *paper, k *plant.Kind) {
	p.line("%s: %s\n\n  Source: %s", k.Name, k.Doc, k.Source)
	var rows [][]string
	for _, q := range k.Params {
		mark, unit := "", q.Unit
		if q.Default == nil {
			mark = "needed"
		}
		if q.OwnUnits != nil {
			unit = "as inputs and outputs say"
		}
		rows = append(rows, []string{q.Key, mark, unit, q.Doc})
	}
	p.table("Numbers", "key||unit|meaning", rows)
	printUsual(p, k.Params)
	if len(k.More) > 0 {
		p.heading("Further keys")
		for _, m := range k.More {
			p.line("  %s", m)
		}
	}
}
