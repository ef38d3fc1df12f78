package schema

import _ "embed" // for the file beside this one

// Plan is the schema of `tideline plan --json`.
//
//go:embed plan.json
var Plan []byte
