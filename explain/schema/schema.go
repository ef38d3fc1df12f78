// Package schema holds the JSON Schemas of what [tideline/explain/data] gives to programs.
package schema

import _ "embed" // for the files beside this one

// Decide is the schema of `tideline decide --json`.
//
//go:embed decide.json
var Decide []byte

// Why is the schema of `tideline why --json`.
//
//go:embed why.json
var Why []byte
