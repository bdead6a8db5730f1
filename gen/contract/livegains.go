package contract

import (
	"math/big"

	"gainwright/model/lint"
)

// SmallestSetting is the size of the smallest setting of a live gain that is not stored as 0, without its unit: a whole number of
// settings, and so without loss.
func SmallestSetting(l lint.LiveGain) string {
	if l.Smallest == nil {
		return "none"
	}
	return Exact(l.Smallest)
}

// WorstSetting is the largest relative error of those settings, in percent and rounded up; empty where all are stored as 0.
func WorstSetting(l lint.LiveGain) string {
	if l.Worst == nil {
		return ""
	}
	return Up(new(big.Rat).Mul(l.Worst, big.NewRat(100, 1))) + " %"
}
