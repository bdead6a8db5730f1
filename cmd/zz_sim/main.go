package main

import (
	"encoding/json"
	"fmt"
	"os"
	"strconv"
	"time"

	"gainwright/model"
	"gainwright/model/plant"
	"gainwright/model/simulate"
)

func main() {
	src, _ := os.ReadFile(os.Args[1])
	u := model.Compile(os.Args[1], src)
	for _, f := range u.Findings {
		fmt.Println(f)
	}
	if !u.OK() {
		os.Exit(1)
	}
	p, found := plant.Read(u.Spec)
	for _, f := range found {
		fmt.Println(f)
	}
	sc, found := simulate.ReadScenario(u.Spec, p)
	for _, f := range found {
		fmt.Println(f)
	}
	if sc == nil {
		return
	}
	fmt.Println("poles", p.Linear().Poles())
	s := simulate.New(u.Spec, u.Asked, u.Integer, p, sc)
	t0 := time.Now()
	if len(os.Args) > 2 {
		n, _ := strconv.Atoi(os.Args[2])
		st := s.Study(n, 1, nil)
		b, _ := json.MarshalIndent(st, "", " ")
		fmt.Println(string(b), time.Since(t0))
		return
	}
	tr := &simulate.Trace{}
	o := s.Run(sc.Seed, tr)
	fmt.Println(time.Since(t0))
	b, _ := json.MarshalIndent(o, "", " ")
	fmt.Println(string(b))
	for _, f := range o.Findings {
		fmt.Println(f)
	}
	os.WriteFile("/tmp/sim/trace.csv", tr.CSV(), 0o644)
}
