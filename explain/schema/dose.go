package schema

import _ "embed" // for the file beside this one

// Dose is the schema of `tideline dose --json` and `tideline measure --json`.
//
//go:embed dose.json
var Dose []byte
