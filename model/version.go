package model

// Version is the version of the tool, as printed and as written into what it emits.
const Version = "0.1.0"
