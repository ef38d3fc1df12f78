package schema

import _ "embed" // for the files beside this one

// WhyNot is the schema of `tideline whynot --json`.
//
//go:embed whynot.json
var WhyNot []byte

// Suppose is the schema of `tideline suppose --json`.
//
//go:embed suppose.json
var Suppose []byte

// Firm is the schema of `tideline decide --firm --json`.
//
//go:embed firm.json
var Firm []byte

// Since is the schema of `tideline decide --since --json`.
//
//go:embed since.json
var Since []byte
