package schema

import _ "embed" // for the file beside this one

// Ask is the schema of `tideline ask --json`.
//
//go:embed ask.json
var Ask []byte
