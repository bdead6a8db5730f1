package main

// printMeasures says how each criterion of a scenario is measured.
func printMeasures(p *paper) {
	p.line("What simulate measures, and what a scenario can ask")
	p.text("A run is cut into stretches. A stretch begins where the target changes (with a ramp, where the ramp begins), where a switch changes, where the machine is let go, and " +
		"where a disturbance or a fault ends; one that stays begins a stretch at once. While something disturbs, only stays and falls are judged. A point that repeats the value before it begins nothing: " +
		"it holds the target until a ramp begins. The worst stretch counts.")
	p.table("Criteria of a watched quantity, beside target and band", "key|what it limits", [][]string{
		{"settles_in", "time from a change, or from the end of its ramp, until the quantity is inside target +- band to stay"},
		{"recovers_in", "the same, from the end of a disturbance or fault"},
		{"overshoot", "how far it goes beyond its final value in the direction of the change"},
		{"follows_within", "largest error while the target is on a ramp"},
		{"steady_error", "mean error over the last fifth of a stretch, the target at rest"},
		{"swing", "half of peak to peak that remains in the second half of the last stretch"},
		{"stays", "values that it may take, from the release to the end"},
	})
	p.line("")
	p.text("To stay means: for the last tenth of the stretch at least. The final value is the mean over the last fifth where the quantity has settled, else the target. " +
		"The direction of a change is that of the set-point, from the value before it; after a release or a switch it is from where the quantity is, and there is none where that is inside the band already. " +
		"Overshoot and settling time are meant as IEC 60050-351 defines them for a step response; that was written from memory, without its text at hand.")
	p.heading("What is not good, whatever is asked")
	p.text("A run is not good where nothing was tested: a step that is on for less than ten ticks after the release, an output without any effort, a criterion that no stretch can judge, " +
		"a target that changes but never by more than the band, a ramp up to the end of which nothing is asked. Recovery is judged where something that disturbs moves the quantity by a tenth of its band, settling where it moves by " +
		"more than its band, overshoot where it comes as far as its target. It is not good where the loop is bad: " +
		"not inside its band at the end, a lasting cycle wider than the band, or a loop that as a linear system is not stable. A band alone asks nothing, and that is said.")
}
