// Package photo measures colour differences from photographs that show a patch
// of known colour.
//
// In:  the bytes of a PNG or JPEG, where the patch lies and what it is, and the
// places to compare.
// Out: CIELAB means corrected for exposure and white balance, differences with
// their uncertainty, a false-colour picture, tideline contrast, and the SHA-256
// of the very bytes.
//
// It is no colorimeter: one patch corrects brightness and cast, not the
// camera's own colours. It refuses, with the reason, what is clipped, uneven,
// transparent, grey, or in another colour space.
package photo
