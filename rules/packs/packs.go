// Package packs holds the pack that is shipped with the program: the .yaml files beside this one.
package packs

import (
	"embed"

	"tideline/rules/pack"
)

//go:embed *.yaml
var files embed.FS

// Shipped gives the shipped pack as a layer to lay others over.
func Shipped() (pack.Layer, error) { return pack.ReadLayer(files, ".") }
