package photo

import (
	"fmt"
	"math"

	"tideline/engine/dose/colour"
)

// A Patch is a place of known colour in the picture: a grey or white card.
type Patch struct {
	Place Place
	Known colour.Lab // under D65; near grey
}

// A Shot is one picture and how to read it.
type Shot struct {
	Name     string // for messages: "before", or the file's name
	Data     []byte
	Encoding Encoding
	PerMM    float64 // pixels per mm; 0 if places are in pixels
	Patches  []Patch
}

// Limits within which a picture is corrected. They are the program's own: no
// published figure was found.
const (
	PatchSpread  = 0.10 // brightness across one patch
	PatchDiffer  = 0.10 // gain between patches
	CleanSpread  = 0.20 // brightness across the clean place
	MostGain     = 5.0  // over- or underexposure that is still corrected
	MostCast     = 3.0  // strongest against weakest channel
	GreyChroma   = 8.0  // a patch with more colour isn't a reference
	DarkestPatch = 20.0 // L* of the darkest patch taken
)

// A Corrected is a picture with the gains that its patches ask for.
type Corrected struct {
	*Picture
	Name      string
	PerMM     float64
	Gain      colour.RGB // per channel, linear light
	GainError colour.RGB // standard uncertainty of Gain, relative
	Patches   int
	PatchGap  float64 // largest difference of gain between patches, relative
	PatchDE   float64 // CIEDE2000 left on the worst patch after correction
}

// Open decodes and corrects a shot.
func (s Shot) Open() (*Corrected, error) {
	p, err := Decode(s.Name, s.Data, s.Encoding)
	if err != nil {
		return nil, err
	}
	if len(s.Patches) == 0 {
		return nil, unfit(s.Name, "Lay a grey card or white tile of known colour beside the object.", "the picture has no reference patch")
	}
	c := &Corrected{Picture: p, Name: s.Name, PerMM: s.PerMM, Patches: len(s.Patches)}
	var gains []colour.RGB
	for i, patch := range s.Patches {
		g, rel, err := c.gain(patch, fmt.Sprintf("%s, patch %d", s.Name, i+1))
		if err != nil {
			return nil, err
		}
		gains = append(gains, g)
		c.Gain = plus(c.Gain, times(g, 1/float64(len(s.Patches))))
		c.GainError = plus(c.GainError, times(scale(rel, rel), 1/float64(len(s.Patches)*len(s.Patches))))
	}
	c.GainError = colour.RGB{R: math.Sqrt(c.GainError.R), G: math.Sqrt(c.GainError.G), B: math.Sqrt(c.GainError.B)}
	return c, c.checkGains(s, gains)
}

// gain is what one patch asks for, with its relative uncertainty.
func (c *Corrected) gain(patch Patch, name string) (g, rel colour.RGB, err error) {
	if patch.Known.Chroma() > GreyChroma || patch.Known.L < DarkestPatch || patch.Known.L > 100 {
		return g, rel, unfit(name, "Use a neutral patch, light to middle grey.",
			"a patch of L* %.1f and chroma %.1f is no reference (L* %.0f to 100, chroma up to %.0f)", patch.Known.L, patch.Known.Chroma(), DarkestPatch, GreyChroma)
	}
	r, err := patch.Place.on(c.Picture, name, c.PerMM)
	if err != nil {
		return g, rel, err
	}
	l := c.read(r)
	if err := l.checkClipped(name); err != nil {
		return g, rel, err
	}
	if s := l.spread(); s > PatchSpread {
		return g, rel, unfit(name, "Light it evenly from both sides, without gloss, and keep to the patch's middle.",
			"brightness runs by %.0f %% across it (more than %.0f %%)", 100*s, 100*PatchSpread)
	}
	known := patch.Known.XYZ(colour.MatrixWhite).RGB()
	g = colour.RGB{R: known.R / l.mean.R, G: known.G / l.mean.G, B: known.B / l.mean.B}
	rel = colour.RGB{R: l.deviation.R / l.mean.R, G: l.deviation.G / l.mean.G, B: l.deviation.B / l.mean.B}
	return g, rel, nil
}

func (c *Corrected) checkGains(s Shot, gains []colour.RGB) error {
	for i, g := range gains {
		name := fmt.Sprintf("%s, patch %d", s.Name, i+1)
		lo, hi := math.Min(g.R, math.Min(g.G, g.B)), math.Max(g.R, math.Max(g.G, g.B))
		if !(lo >= 1/MostGain && hi <= MostGain) {
			return unfit(name, "Set the exposure on the patch and take it again.",
				"it would need a gain of %.2f to %.2f (allowed: %.1f to %.0f)", lo, hi, 1/MostGain, MostGain)
		}
		if hi/lo > MostCast {
			return unfit(name, "Use one white light and set the white balance.", "the light is too coloured: channels differ by a factor of %.1f (more than %.0f)", hi/lo, MostCast)
		}
		for j := range i {
			gap := math.Max(math.Abs(g.R/gains[j].R-1), math.Max(math.Abs(g.G/gains[j].G-1), math.Abs(g.B/gains[j].B-1)))
			c.PatchGap = math.Max(c.PatchGap, gap)
		}
	}
	if c.PatchGap > PatchDiffer {
		return unfit(s.Name, "Light the whole object evenly; two lamps at 45 degrees, same distance.",
			"the patches ask for gains that differ by %.0f %% (more than %.0f %%), so the light is uneven", 100*c.PatchGap, 100*PatchDiffer)
	}
	for i, g := range gains {
		back := scale(s.Patches[i].Known.XYZ(colour.MatrixWhite).RGB(), colour.RGB{R: c.Gain.R / g.R, G: c.Gain.G / g.G, B: c.Gain.B / g.B})
		c.PatchDE = math.Max(c.PatchDE, colour.DE2000(s.Patches[i].Known, back.Lab()))
	}
	if len(gains) > 1 { // what the patches disagree by is uncertainty everywhere
		u := c.PatchGap / math.Sqrt(12)
		for _, e := range []*float64{&c.GainError.R, &c.GainError.G, &c.GainError.B} {
			*e = math.Hypot(*e, u)
		}
	}
	return nil
}

// lookAt reads a place and refuses it if it is clipped.
func (c *Corrected) lookAt(pl Place, what string) (look, error) {
	name := c.Name + ", " + what
	r, err := pl.on(c.Picture, name, c.PerMM)
	if err != nil {
		return look{}, err
	}
	l := c.read(r)
	return l, l.checkClipped(name)
}
