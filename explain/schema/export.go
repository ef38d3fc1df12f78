package schema

import _ "embed" // for the file beside this one

// Export is the schema of `tideline export --json`.
//
//go:embed export.json
var Export []byte
