package model

import "gainwright/model/formats"

// Version is the version of the tool, as printed and as written into what it emits.
const Version = "0.1.0"

// LeastGain is what a change of formats must save, in cycles or instructions.
const LeastGain = formats.LeastGain
