package photo

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"

	"tideline/engine/dose/colour"
)

// An Unfit is a picture, or a place in it, that can't be measured: why, and
// what to do.
type Unfit struct{ Where, Why, Do string }

func (u *Unfit) Error() string { return u.Where + ": " + u.Why + ". " + u.Do }

func unfit(where, do, why string, args ...any) error {
	return &Unfit{where, fmt.Sprintf(why, args...), do}
}

// An Encoding says what the numbers in the file are.
type Encoding int

// SRGB is what cameras and scanners save by default; LinearLight is a raw
// development without a tone curve.
const (
	SRGB Encoding = iota
	LinearLight
)

// The largest file and picture that are read.
const (
	MostBytes  = 80 << 20
	MostPixels = 40_000_000
)

// A Picture is a decoded, upright picture.
type Picture struct {
	Width, Height int
	SHA256        string // of the file's bytes, lower-case hex
	Format        string // "png" or "jpeg"
	Orientation   int    // EXIF orientation that was undone, 1 to 8
	Profiled      bool   // the file says it is sRGB (or linear, if asked for that)
	encoding      Encoding
	pix           []uint16 // R, G, B, 0 to 65535, row by row
	step          uint16   // one step of the file's own scale
}

// Decode reads a picture, turns it upright and checks that its numbers are what
// enc says.
func Decode(name string, data []byte, enc Encoding) (*Picture, error) {
	if len(data) > MostBytes {
		return nil, unfit(name, "Crop the picture.", "the file has %d MB, more than %d", len(data)>>20, MostBytes>>20)
	}
	cfg, format, err := config(data)
	if err != nil {
		return nil, unfit(name, "Save it as PNG or JPEG.", "this is not a PNG or JPEG that can be read (%v)", err)
	}
	if cfg.Width <= 0 || cfg.Height <= 0 || cfg.Width*cfg.Height > MostPixels {
		return nil, unfit(name, "Crop it, or halve its size.", "%d x %d pixels are more than %d million", cfg.Width, cfg.Height, MostPixels/1_000_000)
	}
	m := readMarks(data, format)
	if err := m.check(name, enc); err != nil {
		return nil, err
	}
	if err := checkModel(name, cfg.ColorModel); err != nil {
		return nil, err
	}
	var img image.Image
	if format == "png" {
		img, err = png.Decode(bytes.NewReader(data))
	} else {
		img, err = jpeg.Decode(bytes.NewReader(data))
	}
	if err != nil {
		return nil, unfit(name, "Copy the file again from the camera.", "the file is damaged (%v)", err)
	}
	sum := sha256.Sum256(data)
	p := &Picture{
		SHA256: hex.EncodeToString(sum[:]), Format: format, Orientation: m.orientation,
		Profiled: m.profile == profileSRGB, encoding: enc, step: 257,
	}
	if cfg.ColorModel == color.RGBA64Model || cfg.ColorModel == color.NRGBA64Model {
		p.step = 1
	}
	return p, p.fill(name, img)
}

func config(data []byte) (image.Config, string, error) {
	if bytes.HasPrefix(data, []byte("\x89PNG")) {
		cfg, err := png.DecodeConfig(bytes.NewReader(data))
		return cfg, "png", err
	}
	cfg, err := jpeg.DecodeConfig(bytes.NewReader(data))
	return cfg, "jpeg", err
}

func checkModel(name string, m color.Model) error {
	switch m {
	case color.GrayModel, color.Gray16Model:
		return unfit(name, "Take it in colour.", "the picture is grey and holds no colour")
	case color.CMYKModel:
		return unfit(name, "Save it as RGB from the original, not from a print file.", "the picture is in printing colours (CMYK)")
	}
	return nil
}

// fill copies the pixels upright.
func (p *Picture) fill(name string, img image.Image) error {
	b := img.Bounds()
	w, h := b.Dx(), b.Dy()
	p.Width, p.Height = w, h
	if p.Orientation >= 5 {
		p.Width, p.Height = h, w
	}
	p.pix = make([]uint16, 3*w*h)
	for y := range h {
		for x := range w {
			r, g, bl, a := img.At(b.Min.X+x, b.Min.Y+y).RGBA()
			if a != 0xffff {
				return unfit(name, "Flatten it, or take the picture as the camera saved it.", "the picture is transparent at %d, %d", x, y)
			}
			ox, oy := upright(p.Orientation, x, y, w, h)
			i := 3 * (oy*p.Width + ox)
			p.pix[i], p.pix[i+1], p.pix[i+2] = uint16(r), uint16(g), uint16(bl)
		}
	}
	return nil
}

// upright maps a stored pixel to its place in the upright picture, for the
// eight orientations of EXIF.
func upright(orientation, x, y, w, h int) (int, int) {
	switch orientation {
	case 2:
		return w - 1 - x, y
	case 3:
		return w - 1 - x, h - 1 - y
	case 4:
		return x, h - 1 - y
	case 5:
		return y, x
	case 6:
		return h - 1 - y, x
	case 7:
		return h - 1 - y, w - 1 - x
	case 8:
		return y, w - 1 - x
	default:
		return x, y
	}
}

// curve holds the linear light of every 16-bit sRGB value.
var curve = func() [65536]float32 {
	var t [65536]float32
	for i := range t {
		t[i] = float32(colour.Linear(float64(i) / 65535))
	}
	return t
}()

// light is the linear light at a pixel.
func (p *Picture) light(x, y int) colour.RGB {
	i := 3 * (y*p.Width + x)
	r, g, b := p.pix[i], p.pix[i+1], p.pix[i+2]
	if p.encoding == LinearLight {
		return colour.RGB{R: float64(r) / 65535, G: float64(g) / 65535, B: float64(b) / 65535}
	}
	return colour.RGB{R: float64(curve[r]), G: float64(curve[g]), B: float64(curve[b])}
}

// clipped says whether any channel sits at the end of the file's scale.
func (p *Picture) clipped(x, y int) (high, low bool) {
	i := 3 * (y*p.Width + x)
	for _, v := range p.pix[i : i+3] {
		high = high || v >= 65535-p.step
		low = low || v <= p.step
	}
	return high, low
}
