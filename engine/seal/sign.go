package seal

import (
	"crypto/ed25519"
	"crypto/x509"
	"encoding/hex"
	"encoding/pem"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"runtime"
)

// signedText is what a signature is of. The words before the hash keep a signature from being passed off as one of
// something else.
func signedText(sum string) []byte { return []byte("tideline sealed decision\n" + sum) }

// checkSignature holds the signature against the signer that the body names.
func (s *Sealed) checkSignature() error {
	switch {
	case s.Signer == "" && s.Signature == "":
		return nil
	case s.Signature == "":
		return ErrUnsigned
	}
	key, err := hex.DecodeString(s.Signer)
	signature, err2 := hex.DecodeString(s.Signature)
	if err != nil || err2 != nil || len(key) != ed25519.PublicKeySize || !ed25519.Verify(key, signedText(s.Sum), signature) {
		return ErrSignature
	}
	return nil
}

func sign(key ed25519.PrivateKey, sum string) string {
	if key == nil {
		return ""
	}
	return hex.EncodeToString(ed25519.Sign(key, signedText(sum)))
}

// signer is how a body names the key that signs it.
func signer(key ed25519.PrivateKey) string {
	if key == nil {
		return ""
	}
	return hex.EncodeToString(key.Public().(ed25519.PublicKey))
}

// NewKey makes a key from 32 bytes that nobody can guess, and keeps it in a file of its own that only its owner may read:
// PKCS #8 in PEM (RFC 8410). It never overwrites one. It gives the public key in hex.
func NewKey(path string, seed []byte) (public string, err error) {
	key := ed25519.NewKeyFromSeed(seed)
	der, err := x509.MarshalPKCS8PrivateKey(key)
	if err != nil {
		return "", err
	}
	dir := filepath.Dir(path)
	if err := put(machine{}, dir, filepath.Base(path), pem.EncodeToMemory(&pem.Block{Type: "PRIVATE KEY", Bytes: der}), 0o600); err != nil {
		return "", err
	}
	return signer(key), nil
}

// ReadKey reads a key file. One that others may read is refused: whoever can read it can sign.
func ReadKey(path string) (ed25519.PrivateKey, error) {
	data, info, err := readSmall(path)
	if err != nil {
		return nil, err
	}
	if info.Mode().Perm()&0o077 != 0 && runtime.GOOS != "windows" {
		return nil, fmt.Errorf("%s may be read by others, so that they could sign in your name; `chmod 600 %s` closes it", path, path)
	}
	block, _ := pem.Decode(data)
	if block != nil && block.Type == "PRIVATE KEY" {
		if key, err := x509.ParsePKCS8PrivateKey(block.Bytes); err == nil {
			if key, ok := key.(ed25519.PrivateKey); ok {
				return key, nil
			}
		}
	}
	return nil, fmt.Errorf("%s is not a key to sign with; `tideline seal --new-key FILE` makes one", path)
}

var publicHex = regexp.MustCompile(`^[0-9a-f]{64}$`)

// ReadPublic reads a public key: 64 hex digits, or a file that holds them, or one in PEM.
func ReadPublic(text string) (string, error) {
	if publicHex.MatchString(text) {
		return text, nil
	}
	data, _, err := readSmall(text)
	if errors.Is(err, fs.ErrNotExist) {
		return "", fmt.Errorf("%q is neither a public key of 64 digits, 0 to 9 and a to f, nor a file that holds one", text)
	} else if err != nil {
		return "", err
	}
	if line := string(data[:min(64, len(data))]); publicHex.MatchString(line) {
		return line, nil
	}
	if block, _ := pem.Decode(data); block != nil {
		if block.Type == "PRIVATE KEY" {
			return "", fmt.Errorf("%s is the key to sign with, which nobody else should have; give the public one, which `tideline seal --new-key` printed", text)
		}
		if key, err := x509.ParsePKIXPublicKey(block.Bytes); err == nil {
			if key, ok := key.(ed25519.PublicKey); ok {
				return hex.EncodeToString(key), nil
			}
		}
	}
	return "", fmt.Errorf("%s holds no public key of the kind ed25519", text)
}

// readSmall reads a file that holds a key.
func readSmall(path string) ([]byte, fs.FileInfo, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, nil, err
	}
	if !info.Mode().IsRegular() || info.Size() > 1<<16 {
		return nil, nil, fmt.Errorf("%s is not a key file", path)
	}
	data, err := os.ReadFile(path)
	return data, info, err
}
