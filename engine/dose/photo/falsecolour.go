package photo

import (
	"bytes"
	"image"
	"image/color"
	"image/png"
	"math"

	"tideline/engine/dose/colour"
)

// FullScale is the difference, in CIE 1976 units, that the false-colour picture
// shows brightest.
const FullScale = 20.0

// mapSide is the longest side of a false-colour picture, in pixels.
const mapSide = 1000

// ramp runs from no difference to FullScale, each stop lighter than the last so
// that it also reads in grey.
var ramp = []color.RGBA{
	{16, 16, 40, 255},
	{40, 40, 120, 255},
	{110, 50, 140, 255},
	{190, 70, 100, 255},
	{240, 140, 50, 255},
	{255, 240, 150, 255},
}

var clippedGrey = color.RGBA{128, 128, 128, 255}

// A Stop is one entry of the legend: a difference and its colour.
type Stop struct {
	DE76 float64
	RGB  [3]uint8
}

// Legend lists the stops of the false-colour scale. Plain grey marks clipped
// pixels.
func Legend() []Stop {
	var out []Stop
	for i, c := range ramp {
		out = append(out, Stop{FullScale * float64(i) / float64(len(ramp)-1), [3]uint8{c.R, c.G, c.B}})
	}
	return out
}

// Map draws the difference of a picture as a PNG: pixel by pixel against a
// picture of the same size, or against one colour if before is nil. Pictures
// aren't moved into register; what was shifted shows as a difference.
func Map(before, after *Corrected, against colour.Lab) ([]byte, error) {
	if before != nil && (before.Width != after.Width || before.Height != after.Height) {
		return nil, unfit(after.Name, "Take both from the same tripod place, or crop them alike.",
			"it is %d x %d pixels but %s is %d x %d", after.Width, after.Height, before.Name, before.Width, before.Height)
	}
	step := max(1, (max(after.Width, after.Height)+mapSide-1)/mapSide)
	w, h := (after.Width+step-1)/step, (after.Height+step-1)/step
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			r := image.Rect(x*step, y*step, min((x+1)*step, after.Width), min((y+1)*step, after.Height))
			ref, clip := against, false
			if before != nil {
				ref, clip = before.cell(r)
			}
			lab, clip2 := after.cell(r)
			if clip || clip2 {
				img.SetRGBA(x, y, clippedGrey)
				continue
			}
			img.SetRGBA(x, y, shade(colour.DE76(ref, lab)))
		}
	}
	var b bytes.Buffer
	if err := png.Encode(&b, img); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

// cell averages a few pixels; clipped says that any of them is burnt out.
func (c *Corrected) cell(r image.Rectangle) (colour.Lab, bool) {
	var sum colour.RGB
	burnt := false
	for y := r.Min.Y; y < r.Max.Y; y++ {
		for x := r.Min.X; x < r.Max.X; x++ {
			sum = plus(sum, c.light(x, y))
			high, _ := c.clipped(x, y)
			burnt = burnt || high
		}
	}
	return scale(times(sum, 1/float64(r.Dx()*r.Dy())), c.Gain).Lab(), burnt
}

func shade(de float64) color.RGBA {
	f := math.Min(1, math.Max(0, de/FullScale)) * float64(len(ramp)-1)
	i := min(int(f), len(ramp)-2)
	f -= float64(i)
	mix := func(a, b uint8) uint8 { return uint8(math.Round(float64(a)*(1-f) + float64(b)*f)) }
	a, b := ramp[i], ramp[i+1]
	return color.RGBA{mix(a.R, b.R), mix(a.G, b.G), mix(a.B, b.B), 255}
}
