package photo

import (
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"io"
)

// A profile is what the file says of its colour space.
type profile int

const (
	profileNone profile = iota
	profileSRGB
	profileOther
	profileLinear
)

// marks are the notes in a file that a plain decoder leaves aside.
type marks struct {
	orientation int
	profile     profile
}

func (m marks) check(name string, enc Encoding) error {
	switch {
	case m.profile == profileOther:
		return unfit(name, "Convert it to sRGB, then measure.", "the picture is in a colour space that isn't sRGB")
	case m.profile == profileLinear && enc == SRGB:
		return unfit(name, "Say that it is linear.", "the file says its numbers are linear light, not sRGB")
	case m.profile == profileSRGB && enc == LinearLight:
		return unfit(name, "Say that it is sRGB.", "the file says its numbers are sRGB, not linear light")
	}
	return nil
}

// readMarks finds the EXIF orientation and the colour profile. A damaged note
// counts as absent; the decoder judges the picture itself.
func readMarks(data []byte, format string) marks {
	m := marks{orientation: 1}
	if format == "png" {
		m.readPNG(data)
	} else {
		m.readJPEG(data)
	}
	return m
}

func (m *marks) readJPEG(data []byte) {
	at := 2
	for at+4 <= len(data) && data[at] == 0xff {
		kind := data[at+1]
		if kind == 0xff { // padding
			at++
			continue
		}
		if kind == 0xda || kind == 0xd9 {
			return
		}
		size := int(binary.BigEndian.Uint16(data[at+2:]))
		if size < 2 || at+2+size > len(data) {
			return
		}
		body := data[at+4 : at+2+size]
		switch {
		case kind == 0xe1 && bytes.HasPrefix(body, []byte("Exif\x00\x00")):
			m.readTIFF(body[6:])
		case kind == 0xe2 && bytes.HasPrefix(body, []byte("ICC_PROFILE\x00")) && m.profile == profileNone:
			m.profile = profileNamed(body[12:])
		}
		at += 2 + size
	}
}

func (m *marks) readPNG(data []byte) {
	at := 8
	for at+12 <= len(data) {
		size := int64(binary.BigEndian.Uint32(data[at:]))
		if size > int64(len(data)-at-12) {
			return
		}
		body := data[at+8 : at+8+int(size)]
		switch string(data[at+4 : at+8]) {
		case "eXIf":
			m.readTIFF(body)
		case "sRGB":
			m.profile = profileSRGB
		case "iCCP":
			m.profile = profileICCP(body)
		case "gAMA":
			if m.profile == profileNone && len(body) == 4 {
				m.profile = profileGamma(binary.BigEndian.Uint32(body))
			}
		case "IEND":
			return
		}
		at += 12 + int(size)
	}
}

func profileGamma(g uint32) profile {
	switch {
	case g >= 99000 && g <= 101000:
		return profileLinear
	case g >= 45000 && g <= 46000:
		return profileNone // the usual figure; says nothing of the primaries
	default:
		return profileOther
	}
}

// profileNamed looks for the name of the standard space in a profile's text,
// which may be plain or two bytes a letter.
func profileNamed(icc []byte) profile {
	if len(icc) > 1<<16 {
		icc = icc[:1<<16]
	}
	if bytes.Contains(bytes.ReplaceAll(icc, []byte{0}, nil), []byte("sRGB")) {
		return profileSRGB
	}
	return profileOther
}

func profileICCP(body []byte) profile {
	end := bytes.IndexByte(body, 0)
	if end < 0 || end+2 > len(body) {
		return profileOther
	}
	if bytes.Contains(body[:end], []byte("sRGB")) {
		return profileSRGB
	}
	z, err := zlib.NewReader(bytes.NewReader(body[end+2:]))
	if err != nil {
		return profileOther
	}
	defer z.Close()
	icc, _ := io.ReadAll(io.LimitReader(z, 1<<16)) // a cut profile is read as far as it goes
	return profileNamed(icc)
}

// readTIFF finds the orientation (tag 0x0112) in the first directory of an
// EXIF block.
func (m *marks) readTIFF(t []byte) {
	if len(t) < 8 {
		return
	}
	var order binary.ByteOrder
	switch string(t[:4]) {
	case "II*\x00":
		order = binary.LittleEndian
	case "MM\x00*":
		order = binary.BigEndian
	default:
		return
	}
	at := int64(order.Uint32(t[4:]))
	if at < 8 || at+2 > int64(len(t)) {
		return
	}
	n := int64(order.Uint16(t[at:]))
	for i := range n {
		e := at + 2 + 12*i
		if e+12 > int64(len(t)) {
			return
		}
		if order.Uint16(t[e:]) != 0x0112 || order.Uint16(t[e+2:]) != 3 {
			continue
		}
		if v := int(order.Uint16(t[e+8:])); v >= 1 && v <= 8 {
			m.orientation = v
		}
		return
	}
}
