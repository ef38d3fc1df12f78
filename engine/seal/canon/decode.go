package canon

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
)

// Decode reads the canonical form of a value into it. Whatever v has no field for, and any other way of writing the same,
// is an error: what is read, written again, gives the very bytes.
func Decode(data []byte, v any) error {
	d := json.NewDecoder(bytes.NewReader(data))
	d.DisallowUnknownFields()
	if err := d.Decode(v); err != nil {
		return fmt.Errorf("%w, at byte %d", err, d.InputOffset())
	}
	if _, err := d.Token(); err != io.EOF {
		return fmt.Errorf("something follows after byte %d", d.InputOffset())
	}
	again, err := Encode(v)
	if err != nil {
		return err
	}
	if at := differ(data, again); at >= 0 {
		return fmt.Errorf("not the canonical form from byte %d on", at+1)
	}
	return nil
}

// differ gives the first place at which two texts differ, -1 when they do not.
func differ(a, b []byte) int {
	if bytes.Equal(a, b) {
		return -1
	}
	for i := range min(len(a), len(b)) {
		if a[i] != b[i] {
			return i
		}
	}
	return min(len(a), len(b))
}
