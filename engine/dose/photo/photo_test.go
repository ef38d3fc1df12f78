package photo

import (
	"bytes"
	"encoding/binary"
	"errors"
	"hash/crc32"
	"image"
	"image/color"
	"image/png"
	"math"
	"strings"
	"testing"

	"tideline/engine/dose/colour"
)

// Exposure and cast are undone: the difference is that of the true colours.
func TestPatchUndoesExposureAndCast(t *testing.T) {
	for _, tt := range []struct {
		name string
		edit func(*scene)
		enc  Encoding
		file func(testing.TB, image.Image) []byte
		tol  float64
	}{
		{"16 bit, well lit", func(s *scene) {}, SRGB, toPNG, 0.02},
		{"16 bit, dark and warm", func(s *scene) { s.light = even(0.6, 0.45, 0.3) }, SRGB, toPNG, 0.02},
		{"8 bit, dark and warm", func(s *scene) { s.light = even(0.6, 0.45, 0.3) }, SRGB, func(t testing.TB, i image.Image) []byte { return toPNG(t, eight(i)) }, 1},
		{"linear, cool", func(s *scene) { s.light, s.linear = even(0.5, 0.6, 0.8), true }, LinearLight, toPNG, 0.02},
		{"JPEG, cool", func(s *scene) { s.light = even(0.6, 0.7, 0.85) }, SRGB, toJPEG, 1.2},
	} {
		s := newScene()
		tt.edit(&s)
		sh := shot(tt.file(t, s.image()))
		sh.Encoding = tt.enc
		c, err := measure(t, sh)
		if err != nil {
			t.Errorf("%s: %v", tt.name, err)
			continue
		}
		if want := colour.DE76(s.clean, s.stain); math.Abs(c.DE76-want) > tt.tol {
			t.Errorf("%s: ΔE %.3f, the scene has %.3f", tt.name, c.DE76, want)
		}
		if want := colour.DE2000(s.clean, s.stain); math.Abs(c.DE2000-want) > tt.tol {
			t.Errorf("%s: ΔE00 %.3f, the scene has %.3f", tt.name, c.DE2000, want)
		}
	}
}

// The stated uncertainty holds the truth about as often as k = 2 says.
func TestUncertaintyHoldsTheTruth(t *testing.T) {
	inside, last := 0, 0.0
	const tries = 60
	for i := range tries {
		s := newScene()
		s.noise, s.seed = 0.02, int64(i)
		s.light = even(0.6, 0.6, 0.6)
		c, err := measure(t, shot(toPNG(t, s.image())))
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(c.DE76-colour.DE76(s.clean, s.stain)) <= c.Uncertainty {
			inside++
		}
		last = c.Uncertainty
	}
	if inside < tries*85/100 {
		t.Errorf("the truth lay inside %d of %d times", inside, tries)
	}
	quiet := newScene()
	quiet.light = even(0.6, 0.6, 0.6)
	c, err := measure(t, shot(toPNG(t, quiet.image())))
	if err != nil || c.Uncertainty >= last {
		t.Errorf("without noise the uncertainty is %g, with it %g (%v)", c.Uncertainty, last, err)
	}
}

// turned stores a picture so that the given orientation makes it upright.
func turned(img image.Image, orientation int) image.Image {
	b := img.Bounds()
	w, h := b.Dx(), b.Dy()
	sw, sh := w, h
	if orientation >= 5 {
		sw, sh = h, w
	}
	out := image.NewNRGBA64(image.Rect(0, 0, sw, sh))
	for y := range sh {
		for x := range sw {
			ux, uy := upright(orientation, x, y, sw, sh)
			out.Set(x, y, img.At(b.Min.X+ux, b.Min.Y+uy))
		}
	}
	return out
}

func tiff(orientation int, order binary.ByteOrder, head string) []byte {
	b := []byte(head)
	b = order.(binary.AppendByteOrder).AppendUint32(b, 8)
	a := order.(binary.AppendByteOrder)
	b = a.AppendUint16(b, 1)
	b = a.AppendUint16(b, 0x0112)
	b = a.AppendUint16(b, 3)
	b = a.AppendUint32(b, 1)
	b = a.AppendUint16(b, uint16(orientation))
	return append(b, 0, 0, 0, 0, 0, 0)
}

func withSegment(jpg []byte, kind byte, body []byte) []byte {
	out := append([]byte{}, jpg[:2]...)
	out = append(out, 0xff, kind)
	out = binary.BigEndian.AppendUint16(out, uint16(len(body)+2))
	out = append(out, body...)
	return append(out, jpg[2:]...)
}

func withChunk(p []byte, kind string, body []byte) []byte {
	out := append([]byte{}, p[:33]...) // signature and header chunk
	out = binary.BigEndian.AppendUint32(out, uint32(len(body)))
	chunk := append([]byte(kind), body...)
	out = append(out, chunk...)
	out = binary.BigEndian.AppendUint32(out, crc32.ChecksumIEEE(chunk))
	return append(out, p[33:]...)
}

func TestEveryOrientationIsUndone(t *testing.T) {
	s := newScene()
	img := s.image()
	want := colour.DE76(s.clean, s.stain)
	for o := 1; o <= 8; o++ {
		le, be := tiff(o, binary.LittleEndian, "II*\x00"), tiff(o, binary.BigEndian, "MM\x00*")
		files := map[string][]byte{
			"JPEG": withSegment(toJPEG(t, turned(img, o)), 0xe1, append([]byte("Exif\x00\x00"), le...)),
			"PNG":  withChunk(toPNG(t, turned(img, o)), "eXIf", be),
		}
		for name, data := range files {
			sh := shot(data)
			p, err := Decode("picture", data, SRGB)
			if err != nil {
				t.Fatalf("%s orientation %d: %v", name, o, err)
			}
			if p.Orientation != o || p.Width != s.w || p.Height != s.h {
				t.Errorf("%s: orientation %d read as %d, %d x %d", name, o, p.Orientation, p.Width, p.Height)
			}
			if c, err := measure(t, sh); err != nil || math.Abs(c.DE76-want) > 1.2 {
				t.Errorf("%s orientation %d: ΔE %.3f, want %.3f (%v)", name, o, c.DE76, want, err)
			}
		}
	}
}

// An unfitCase is a picture that must be refused, saying why.
type unfitCase struct {
	name string
	edit func(*scene)
	shot func(*Shot)
	file func(testing.TB, image.Image) []byte
	says string
}

func (tt unfitCase) try(t *testing.T) {
	t.Helper()
	s := newScene()
	if tt.edit != nil {
		tt.edit(&s)
	}
	file := tt.file
	if file == nil {
		file = toPNG
	}
	sh := shot(file(t, s.image()))
	if tt.shot != nil {
		tt.shot(&sh)
	}
	_, err := measure(t, sh)
	var u *Unfit
	if !errors.As(err, &u) || !strings.Contains(u.Why, tt.says) || u.Do == "" {
		t.Errorf("%s: want a refusal saying %q, got %v", tt.name, tt.says, err)
	}
}

func TestUnfitLightAndPlacesAreRefusedWithTheReason(t *testing.T) {
	gradient := func(s *scene) {
		s.light = func(x, y int) colour.RGB {
			v := 0.3 + 0.6*float64(x)/240
			return colour.RGB{R: v, G: v, B: v}
		}
	}
	for _, tt := range []unfitCase{
		{"burnt out", func(s *scene) { s.light = even(1.3, 1.3, 1.3) }, nil, nil, "burnt out"},
		{"black", func(s *scene) { s.light, s.stain = even(0.5, 0.5, 0.5), colour.Lab{} }, nil, nil, "black to the end"},
		{"far too dark", func(s *scene) { s.light = even(0.1, 0.1, 0.1) }, nil, nil, "gain"},
		{"coloured light", func(s *scene) { s.light = even(0.9, 0.5, 0.25) }, nil, nil, "too coloured"},
		{"uneven patch", func(s *scene) {
			s.light = func(x, y int) colour.RGB { v := 0.4 + 0.01*float64(y); return colour.RGB{R: v, G: v, B: v} }
		}, nil, nil, "across it"},
		{"uneven between patches", func(s *scene) { gradient(s); s.secondPatchAt = 190 }, func(s *Shot) {
			s.Patches = []Patch{{px(26, 14, 8, 32), card}, {px(206, 14, 8, 32), card}}
		}, nil, "uneven"},
		{"no patch", nil, func(s *Shot) { s.Patches = nil }, nil, "no reference patch"},
		{"coloured patch", nil, func(s *Shot) { s.Patches[0].Known = colour.Lab{L: 50, A: 60, B: 20} }, nil, "no reference"},
		{"place outside", nil, func(s *Shot) { s.Patches[0].Place = px(220, 14, 32, 32) }, nil, "240 x 60"},
		{"place too small", nil, func(s *Shot) { s.Patches[0].Place = px(14, 14, 4, 4) }, nil, "fewer than"},
		{"millimetres without scale", nil, func(s *Shot) { s.Patches[0].Place = Place{1, 1, 3, 3, true} }, nil, "no scale"},
	} {
		tt.try(t)
	}
}

func TestUnfitFilesAreRefusedWithTheReason(t *testing.T) {
	for _, tt := range []unfitCase{
		{"grey picture", nil, nil, func(t testing.TB, i image.Image) []byte {
			g := image.NewGray(i.Bounds())
			return toPNG(t, g)
		}, "holds no colour"},
		{"transparent", nil, nil, func(t testing.TB, i image.Image) []byte {
			n := eight(i)
			n.SetNRGBA(5, 5, color.NRGBA{9, 9, 9, 100})
			return toPNG(t, n)
		}, "transparent"},
		{"other colour space, JPEG", nil, nil, func(t testing.TB, i image.Image) []byte {
			return withSegment(toJPEG(t, i), 0xe2, []byte("ICC_PROFILE\x00\x01\x01 wide gamut"))
		}, "isn't sRGB"},
		{"other colour space, PNG", nil, nil, func(t testing.TB, i image.Image) []byte {
			return withChunk(toPNG(t, i), "iCCP", []byte("wide gamut\x00\x00nonsense"))
		}, "isn't sRGB"},
		{"linear said to be sRGB", nil, nil, func(t testing.TB, i image.Image) []byte {
			return withChunk(toPNG(t, i), "gAMA", binary.BigEndian.AppendUint32(nil, 100000))
		}, "linear light"},
		{"sRGB said to be linear", nil, func(s *Shot) { s.Encoding = LinearLight }, func(t testing.TB, i image.Image) []byte {
			return withChunk(toPNG(t, i), "sRGB", []byte{0})
		}, "sRGB, not linear"},
		{"no picture", nil, nil, func(testing.TB, image.Image) []byte { return []byte("hello") }, "not a PNG or JPEG"},
		{"cut short", nil, nil, func(t testing.TB, i image.Image) []byte { b := toPNG(t, i); return b[:len(b)/2] }, "damaged"},
	} {
		tt.try(t)
	}
}

func TestSRGBProfilesAreTaken(t *testing.T) {
	img := newScene().image()
	wide := strings.Join(strings.Split("sRGB built-in", ""), "\x00")
	for name, data := range map[string][]byte{
		"JPEG": withSegment(toJPEG(t, img), 0xe2, []byte("ICC_PROFILE\x00\x01\x01...sRGB IEC61966-2.1")),
		"wide": withSegment(toJPEG(t, img), 0xe2, []byte("ICC_PROFILE\x00\x01\x01..."+wide)),
		"PNG":  withChunk(toPNG(t, img), "sRGB", []byte{0}),
		"iCCP": withChunk(toPNG(t, img), "iCCP", []byte("sRGB\x00\x00x")),
	} {
		p, err := Decode(name, data, SRGB)
		if err != nil || !p.Profiled {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestPlacesInMillimetres(t *testing.T) {
	s := newScene()
	sh := shot(toPNG(t, s.image()))
	sh.PerMM = 4
	sh.Patches[0].Place = Place{3.5, 3.5, 8, 8, true}
	c, err := sh.Open()
	if err != nil {
		t.Fatal(err)
	}
	got, err := Compare(c, Place{18.5, 3.5, 8, 8, true}, c, Place{33.5, 3.5, 8, 8, true})
	if err != nil || math.Abs(got.DE76-colour.DE76(s.clean, s.stain)) > 0.02 {
		t.Errorf("%v, %v", got, err)
	}
	for text, want := range map[string]Place{"120,80,40,40 px": px(120, 80, 40, 40), " 1.5, 2,3,4mm": {1.5, 2, 3, 4, true}} {
		if p, err := ParsePlace(text); err != nil || p != want {
			t.Errorf("%q: %v, %v", text, p, err)
		}
	}
	for _, bad := range []string{"", "1,2,3 px", "1,2,3,4", "1,2,0,4 px", "-1,2,3,4 px", "a,b,c,d px", "NaN,1,1,1 px"} {
		if _, err := ParsePlace(bad); err == nil {
			t.Errorf("%q was taken", bad)
		}
	}
}

func TestMapAndTideline(t *testing.T) {
	s := newScene()
	before, err := shot(toPNG(t, s.image())).Open()
	if err != nil {
		t.Fatal(err)
	}
	s.stain = s.clean
	after, err := shot(toPNG(t, s.image())).Open()
	if err != nil {
		t.Fatal(err)
	}
	a, err := Map(before, after, colour.Lab{})
	if err != nil {
		t.Fatal(err)
	}
	b, _ := Map(before, after, colour.Lab{})
	if !bytes.Equal(a, b) {
		t.Error("the map differs from one run to the next")
	}
	img, err := png.Decode(bytes.NewReader(a))
	if err != nil || img.Bounds().Dx() != s.w {
		t.Fatal("the map can't be read", err)
	}
	if img.At(80, 30) != (color.RGBA{16, 16, 40, 255}) || img.At(150, 30) == img.At(80, 30) {
		t.Errorf("clean %v, stain %v", img.At(80, 30), img.At(150, 30))
	}
	small := scene{w: 200, h: 60, light: s.light, clean: s.clean, stain: s.stain}
	other, err := shot(toPNG(t, small.image())).Open()
	if err != nil {
		t.Fatal(err)
	}
	if _, err := Map(before, other, colour.Lab{}); err == nil {
		t.Error("pictures of unlike size were mapped")
	}
	was, err := Contrast(before, stainPlace, cleanPlace, cleanPlace)
	if err != nil {
		t.Fatal(err)
	}
	is, err := Contrast(after, stainPlace, cleanPlace, cleanPlace)
	if err != nil || was.DE2000 < 5 || is.DE2000 > 0.1 {
		t.Errorf("contrast %g before, %g after (%v)", was.DE2000, is.DE2000, err)
	}
	last := -1.0
	for _, st := range Legend() { // each stop is lighter than the last
		if l := colour.FromBytes(st.RGB[0], st.RGB[1], st.RGB[2]).Lab().L; l <= last {
			t.Errorf("stop %v isn't lighter", st)
		} else {
			last = l
		}
	}
}

// Whatever the bytes, decoding answers or refuses with a reason; it never
// panics.
func FuzzDecode(f *testing.F) {
	s := scene{w: 24, h: 16, light: even(0.8, 0.8, 0.8), clean: colour.Lab{L: 90}, stain: colour.Lab{L: 80}}
	p, j := toPNG(f, eight(s.image())), toJPEG(f, s.image())
	f.Add(p, true)
	f.Add(j, false)
	f.Add(withChunk(p, "eXIf", tiff(6, binary.BigEndian, "MM\x00*")), false)
	f.Add(withChunk(p, "iCCP", []byte("a\x00\x00x\x9c")), false)
	f.Add(withSegment(j, 0xe1, append([]byte("Exif\x00\x00"), tiff(8, binary.LittleEndian, "II*\x00")...)), false)
	f.Add(withSegment(j, 0xe1, []byte("Exif\x00\x00II*\x00\xff\xff\xff\xff")), false)
	f.Fuzz(func(t *testing.T, data []byte, linear bool) {
		if cfg, _, err := config(data); err == nil && cfg.Width*cfg.Height > 1<<20 {
			return // big pictures are right but slow here
		}
		enc := SRGB
		if linear {
			enc = LinearLight
		}
		sh := Shot{Name: "fuzz", Data: data, Encoding: enc, Patches: []Patch{{px(0, 0, 8, 8), card}}}
		c, err := sh.Open()
		if err != nil {
			var u *Unfit
			if !errors.As(err, &u) || u.Do == "" {
				t.Fatalf("refused without help: %v", err)
			}
			return
		}
		if _, err := Map(nil, c, card); err != nil {
			t.Fatal(err)
		}
	})
}
