package schema

import _ "embed" // for the files beside this one

// Seal is the schema of `tideline seal --json`.
//
//go:embed seal.json
var Seal []byte

// Audit is the schema of `tideline audit --json`.
//
//go:embed audit.json
var Audit []byte
