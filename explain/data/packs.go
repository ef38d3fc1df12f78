package data

import "tideline/engine/judge"

// Packs gives the packs a judgement was made by, the lowest first.
func Packs(g *judge.Judgement) []Pack { return head(g).Pack }
