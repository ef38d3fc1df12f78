package seal

import (
	"bytes"
	"crypto/ed25519"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/engine/record"
	"tideline/engine/seal/canon"
	"tideline/engine/seal/edition1"
	"tideline/rules/fault"
	"tideline/rules/pack"
)

// TestSHA256: FIPS 180-4 names the function; the examples for "abc", for 448 bits and for a million letters a are those of
// the example values published with it (from memory).
func TestSHA256(t *testing.T) {
	for _, tt := range []struct{ message, want string }{
		{"abc", "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"},
		{"abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq", "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1"},
		{strings.Repeat("a", 1_000_000), "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0"},
	} {
		if got := hash([]byte(tt.message)); got != tt.want {
			t.Errorf("%.20q: %s, want %s", tt.message, got, tt.want)
		}
	}
}

// TestEd25519: RFC 8032, section 7.1, tests 2 and 3.
func TestEd25519(t *testing.T) {
	for _, tt := range []struct{ seed, public, message, signature string }{
		{
			"4ccd089b28ff96da9db6c346ec114e0f5b8a319f35aba624da8cf6ed4fb8a6fb", "3d4017c3e843895a92b70aa74d1b7ebc9c982ccf2ec4968cc0cd55f12af4660c", "72",
			"92a009a9f0d4cab8720e820b5f642540a2b27b5416503f8fb3762223ebdb69da085ac1e43e15996e458f3613d0f11d8c387b2eaeb4302aeeb00d291612bb0c00",
		},
		{
			"c5aa8df43f9f837bedb7442f31dcb7b166d38535076f094b85ce3a2e0b4458f7", "fc51cd8e6218a1a38da47ed00230f0580816ed13ba3303ac5deb911548908025", "af82",
			"6291d657deec24024827e69c3abe01a30ce548a284743a445e3680d7db5ac3ac18ff9b538d16f290ae67f760984dc6594a7c15e9716ed28dc027beceea1ec40a",
		},
	} {
		key := ed25519.NewKeyFromSeed(bytesOf(t, tt.seed))
		if got := signer(key); got != tt.public {
			t.Errorf("public key %s, want %s", got, tt.public)
		}
		if got := hex.EncodeToString(ed25519.Sign(key, bytesOf(t, tt.message))); got != tt.signature {
			t.Errorf("signature %s, want %s", got, tt.signature)
		}
	}
}

func bytesOf(t *testing.T, digits string) []byte {
	t.Helper()
	b, err := hex.DecodeString(digits)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

const packs = "../../testdata/packs/"

// sample judges the tiny book by the tiny pack, with the house pack laid over it if asked, and makes its body.
func sample(t testing.TB, house bool) *edition1.Body {
	t.Helper()
	src := Sources{RecordName: "elsewhere/tiny-book.yaml"}
	faults := &fault.List{}
	src.Layers = []pack.Layer{pack.ReadPath(packs+"tiny.yaml", faults)}
	if house {
		src.Layers = append(src.Layers, pack.ReadPath(packs+"tiny-house.yaml", faults))
	}
	return bodyOf(t, src, packs+"tiny-book.yaml", faults)
}

func bodyOf(t testing.TB, src Sources, book string, faults *fault.List) *edition1.Body {
	t.Helper()
	var err error
	if src.RecordText, err = os.ReadFile(book); err != nil {
		t.Fatal(err)
	}
	var trimmed []pack.Layer
	for _, l := range src.Layers {
		trimmed = append(trimmed, pack.Trim(l))
	}
	p := pack.Load(trimmed, faults)
	b := record.Parse(src.RecordName, src.RecordText, record.WordsOf(p), time.Time{}, faults)
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	g, err := judge.Judge(evidence.Gather(p, b, time.Time{}))
	if err != nil {
		t.Fatal(err)
	}
	body, err := New(g, src)
	if err != nil {
		t.Fatal(err)
	}
	body.Case, body.At = "tin-harbour", "2026-10-14T10:00:00Z"
	return body
}

// TestSameBytes: the same inputs give the same bytes, whatever the order of maps and the folders the files lie in.
func TestSameBytes(t *testing.T) {
	var first []byte
	for range 20 {
		got, err := canon.Encode(sample(t, true))
		if err != nil {
			t.Fatal(err)
		}
		if first == nil {
			first = got
		}
		if !bytes.Equal(first, got) {
			t.Fatal("two bodies from the same inputs differ")
		}
	}
	if bytes.Contains(first, []byte("elsewhere")) || bytes.Contains(first, []byte("testdata")) {
		t.Error("the body names a folder of this machine")
	}
}

// TestNoFloats: a body holds no number that JSON would read as a binary float, and only ASCII keys.
func TestNoFloats(t *testing.T) {
	data, err := canon.Encode(sample(t, true))
	if err != nil {
		t.Fatal(err)
	}
	inText := false
	for i := 0; i < len(data); i++ {
		switch c := data[i]; {
		case c == '\\' && inText:
			i++
		case c == '"':
			inText = !inText
		case !inText && (c >= '0' && c <= '9' || c == '-'):
			t.Fatalf("a number at byte %d: %s", i, data[max(0, i-30):i+10])
		}
	}
	var walk func(any)
	walk = func(v any) {
		switch v := v.(type) {
		case map[string]any:
			for k, kid := range v {
				if strings.IndexFunc(k, func(r rune) bool { return r > 0x7e || r < 0x21 }) >= 0 {
					t.Errorf("the key %q is not plain ASCII", k)
				}
				walk(kid)
			}
		case []any:
			for _, kid := range v {
				walk(kid)
			}
		}
	}
	var v any
	if err := canon.Decode(data, &v); err != nil {
		t.Fatal(err)
	}
	walk(v)
}

// TestLayersComeBack: the packs sealed are the files that were given, byte for byte; a text changed or missing is told.
func TestLayersComeBack(t *testing.T) {
	b := sample(t, true)
	layers, err := Layers(b)
	if err != nil || len(layers) != 2 {
		t.Fatalf("%d layers, %v", len(layers), err)
	}
	for i, name := range []string{"tiny.yaml", "tiny-house.yaml"} {
		want, _ := os.ReadFile(packs + name)
		if f := layers[i].Files[0]; f.Name != name || !bytes.Equal(f.Data, want) || b.Packs[i].Files[0].SHA256 != hash(want) {
			t.Errorf("%s did not come back as it was", name)
		}
	}
	for what, spoil := range map[string]func(*edition1.Body){
		"text changed": func(b *edition1.Body) { b.Texts[0].Text += " " },
		"text missing": func(b *edition1.Body) { b.Texts = b.Texts[1:] },
		"hash of pack": func(b *edition1.Body) { b.Packs[0].SHA256 = b.Packs[1].SHA256 },
	} {
		bad := sample(t, true)
		spoil(bad)
		if _, err := Layers(bad); err == nil {
			t.Errorf("%s: not noticed", what)
		}
	}
}

// TestOtherPacksAreNotSealed: a seal cannot hold packs that were not judged by.
func TestOtherPacksAreNotSealed(t *testing.T) {
	faults := &fault.List{}
	tiny := pack.ReadPath(packs+"tiny.yaml", faults)
	p := pack.Load([]pack.Layer{tiny}, faults)
	text, _ := os.ReadFile(packs + "tiny-book.yaml")
	g, err := judge.Judge(evidence.Gather(p, record.Parse("b.yaml", text, record.WordsOf(p), time.Time{}, faults), time.Time{}))
	if err != nil || faults.Len() > 0 {
		t.Fatal(err, faults.Err())
	}
	house := pack.ReadPath(packs+"tiny-house.yaml", faults)
	for _, layers := range [][]pack.Layer{{}, {house}, {tiny, house}} {
		if _, err := New(g, Sources{"b.yaml", text, layers}); !errors.Is(err, errOtherPacks) {
			t.Errorf("%d layers: %v", len(layers), err)
		}
	}
}

// seals seals some bodies in a fresh folder.
func seals(t testing.TB, n int, key ed25519.PrivateKey) *Folder {
	t.Helper()
	f := In(t.TempDir())
	for range n {
		if _, err := f.Add(sample(t, false), key); err != nil {
			t.Fatal(err)
		}
	}
	return f
}

var someKey = ed25519.NewKeyFromSeed(bytes.Repeat([]byte{7}, ed25519.SeedSize))

// TestEveryByte: whatever bit of whatever byte of a sealed file is changed, or a byte added or taken away, it is noticed.
func TestEveryByte(t *testing.T) {
	for _, key := range []ed25519.PrivateKey{nil, someKey} {
		f := seals(t, 1, key)
		data, err := Read(filepath.Join(f.Path, "tin-harbour-0001.json"))
		if err != nil {
			t.Fatal(err)
		}
		if _, err := Open(data); err != nil {
			t.Fatal(err)
		}
		for i := range data {
			data[i] ^= 1 << (i % 8)
			if _, err := Open(data); err == nil {
				t.Fatalf("byte %d changed, and it was not noticed", i)
			}
			data[i] ^= 1 << (i % 8)
		}
		for _, i := range []int{0, 1, len(opening), len(data) / 2, len(data) - 1} {
			if _, err := Open(slices.Insert(slices.Clone(data), i, ' ')); err == nil {
				t.Errorf("a blank before byte %d was not noticed", i)
			}
			if _, err := Open(slices.Delete(slices.Clone(data), i, i+1)); err == nil {
				t.Errorf("byte %d taken away was not noticed", i)
			}
			if _, err := Open(data[:i]); err == nil {
				t.Errorf("all from byte %d cut off was not noticed", i)
			}
		}
		if _, err := Open(append(slices.Clone(data), '\n')); err == nil {
			t.Error("a line end added was not noticed")
		}
	}
}

// TestEveryByteOfTheExamples does the same for the first bit that makes a difference to the eye: the case of a letter, one
// digit for the next.
func TestEveryByteOfTheExamples(t *testing.T) {
	files, err := filepath.Glob("../../testdata/seals/edition-*/*.json")
	if err != nil || len(files) == 0 {
		t.Fatal("no examples", err)
	}
	for _, file := range files {
		data, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := Open(data); err != nil {
			t.Fatalf("%s: %v", file, err)
		}
		for i, c := range data {
			data[i] = c ^ 1
			if c >= 'A' && c <= 'Z' || c >= 'a' && c <= 'z' {
				data[i] = c ^ 0x20
			}
			if _, err := Open(data); err == nil {
				t.Fatalf("%s: byte %d changed, and it was not noticed", file, i)
			}
			data[i] = c
		}
	}
}

// TestMake makes a folder with those above it, and finds nothing to do the second time.
func TestMake(t *testing.T) {
	f := In(filepath.Join(t.TempDir(), "a", "b", "c"))
	for range 2 {
		if err := f.Make(); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := f.Add(sample(t, false), nil); err != nil {
		t.Error(err)
	}
	d := &failing{what: "sync folder", err: os.ErrPermission}
	if err := (&Folder{filepath.Join(t.TempDir(), "d"), d}).Make(); !errors.Is(err, os.ErrPermission) {
		t.Errorf("%v", err)
	}
}

// TestSignature: one taken off, one of another key, and one moved from another file do not pass.
func TestSignature(t *testing.T) {
	f := seals(t, 2, someKey)
	one, _ := Read(filepath.Join(f.Path, "tin-harbour-0001.json"))
	two, _ := Read(filepath.Join(f.Path, "tin-harbour-0002.json"))
	s, err := Open(one)
	if err != nil || s.Signer != signer(someKey) {
		t.Fatalf("%v, %v", s, err)
	}
	if _, err := Open(frame(s.Body, "")); !errors.Is(err, ErrUnsigned) {
		t.Errorf("signature taken off: %v", err)
	}
	other := ed25519.NewKeyFromSeed(make([]byte, ed25519.SeedSize))
	if _, err := Open(frame(s.Body, sign(other, s.Sum))); !errors.Is(err, ErrSignature) {
		t.Errorf("signed by another: %v", err)
	}
	s2, err := Open(two)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := Open(frame(s.Body, s2.Signature)); !errors.Is(err, ErrSignature) {
		t.Errorf("signature of another file: %v", err)
	}
	plain := seals(t, 1, nil)
	unsigned, _ := Read(filepath.Join(plain.Path, "tin-harbour-0001.json"))
	u, err := Open(unsigned)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := Open(frame(u.Body, sign(someKey, u.Sum))); !errors.Is(err, ErrSignature) {
		t.Errorf("a signature put on afterwards: %v", err)
	}
}

// rewrite changes the body of a file and gives it the hash of what it now is, as a forger would.
func rewrite(t *testing.T, path string, old, with string) {
	t.Helper()
	data, err := Read(path)
	if err != nil {
		t.Fatal(err)
	}
	s, err := Open(data)
	if err != nil {
		t.Fatal(err)
	}
	body := bytes.Replace(s.Body, []byte(old), []byte(with), 1)
	if bytes.Equal(body, s.Body) {
		t.Fatalf("%q is not in it", old)
	}
	overwrite(t, path, frame(body, ""))
}

func overwrite(t *testing.T, path string, data []byte) {
	t.Helper()
	if err := os.Remove(path); err != nil && !os.IsNotExist(err) {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, data, 0o600); err != nil {
		t.Fatal(err)
	}
}

// TestChain: each way of spoiling a chain of four is found, and named at the file it is in.
func TestChain(t *testing.T) {
	file := func(f *Folder, n int) string { return filepath.Join(f.Path, FileName("tin-harbour", n)) }
	for _, tt := range []struct {
		name  string
		spoil func(*testing.T, *Folder)
		want  []string
	}{
		{"whole", func(*testing.T, *Folder) {}, nil},
		{"a byte altered", func(t *testing.T, f *Folder) {
			data, _ := Read(file(f, 2))
			data[len(data)/2] ^= 1
			overwrite(t, file(f, 2), data)
		}, []string{"0002 altered"}},
		{"one taken out", func(t *testing.T, f *Folder) { os.Remove(file(f, 2)) }, []string{"0002 missing link"}},
		{"the first taken out", func(t *testing.T, f *Folder) { os.Remove(file(f, 1)) }, []string{"0001 missing link"}},
		{"two taken out", func(t *testing.T, f *Folder) {
			os.Remove(file(f, 2))
			os.Remove(file(f, 3))
		}, []string{"0002 missing link"}},
		{"one far off", func(t *testing.T, f *Folder) {
			data, _ := Read(file(f, 4))
			overwrite(t, file(f, 9999999), data)
		}, []string{"0005 missing link", "9999999 renamed"}},
		{"two swapped", func(t *testing.T, f *Folder) {
			a, _ := Read(file(f, 2))
			b, _ := Read(file(f, 3))
			overwrite(t, file(f, 2), b)
			overwrite(t, file(f, 3), a)
		}, []string{"0002 renamed", "0002 parted", "0003 renamed", "0003 parted", "0004 parted"}},
		{"one written anew", func(t *testing.T, f *Folder) { rewrite(t, file(f, 2), "M. K.", "X. Y.") }, []string{"0003 parted"}},
		{"one emptied", func(t *testing.T, f *Folder) { overwrite(t, file(f, 3), nil) }, []string{"0003 not a sealed decision"}},
		{"one cut short", func(t *testing.T, f *Folder) {
			data, _ := Read(file(f, 3))
			overwrite(t, file(f, 3), data[:len(data)-100])
		}, []string{"0003 not a sealed decision"}},
		{"a folder in its place", func(t *testing.T, f *Folder) {
			os.Remove(file(f, 3))
			os.Mkdir(file(f, 3), 0o700)
		}, []string{"0003 cannot be read"}},
		{"one of another case", func(t *testing.T, f *Folder) {
			b := sample(t, false)
			b.Case = "other"
			if _, err := f.Add(b, nil); err != nil {
				t.Fatal(err)
			}
			data, _ := Read(filepath.Join(f.Path, "other-0001.json"))
			overwrite(t, file(f, 1), data)
		}, []string{"0001 renamed", "0002 parted"}},
		{"the end cut off, which a chain cannot show", func(t *testing.T, f *Folder) { os.Remove(file(f, 4)) }, nil},
	} {
		t.Run(tt.name, func(t *testing.T) {
			f := seals(t, 4, nil)
			tt.spoil(t, f)
			cases, _, err := f.Cases()
			if err != nil {
				t.Fatal(err)
			}
			var got []string
			for _, l := range f.Chain("tin-harbour", cases["tin-harbour"], nil) {
				for _, b := range l.Breaks {
					got = append(got, strings.TrimSuffix(strings.TrimPrefix(b.File, "tin-harbour-"), ".json")+" "+string(b.Kind))
				}
			}
			if diff := cmp.Diff(tt.want, got); diff != "" {
				t.Errorf("(-want +got):\n%s", diff)
			}
			_, err = f.Add(sample(t, false), nil)
			if broken := errors.As(err, &BrokenChain{}); broken != (tt.want != nil) || !broken && err != nil {
				t.Errorf("sealing goes on: %v", err)
			}
		})
	}
}

// TestNumber: the short number is read back however it was copied.
func TestNumber(t *testing.T) {
	sum := "3f2a91c077de0b14" + strings.Repeat("0", 48)
	number := Number(sum)
	if number != "3F2A 91C0 77DE 0B14" {
		t.Fatal(number)
	}
	for _, text := range []string{number, "3f2a91c077de0b14", "3F2A-91C0-77DE-0B14", " 3f2a.91c0 77de\u00a00b14 "} {
		if got, err := ParseNumber(text); got != number || err != nil {
			t.Errorf("%q: %q, %v", text, got, err)
		}
	}
	for _, text := range []string{"", "3F2A", number + " 00", "3F2A 91C0 77DE 0B1G", "３F2A 91C0 77DE 0B14"} {
		if got, err := ParseNumber(text); err == nil {
			t.Errorf("%q was taken for %q", text, got)
		}
	}
}

// TestNames: the name of a file says case and number, and nothing else is taken for one.
func TestNames(t *testing.T) {
	for file, want := range map[string]string{
		"a-0001.json": "a 1", "a-0002-0010.json": "a-0002 10", "a-10000.json": "a 10000", "A.b_c-0003.json": "A.b_c 3",
		"a-1.json": "", "a-0000.json": "", "a-00001.json": "", "-0001.json": "", ".a-0001.json": "", "a-0001.json.lock": "", "a-0001.JSON": "", "ä-0001.json": "",
		"a-99999999.json": "", strings.Repeat("a", 101) + "-0001.json": "",
	} {
		name, number, ok := ParseName(file)
		got := ""
		if ok {
			got = name + " " + whole(number)
		}
		if got != want {
			t.Errorf("%s: %q, want %q", file, got, want)
		}
	}
}

// TestKeyFiles: made once, read back, refused when others may read it.
func TestKeyFiles(t *testing.T) {
	path := filepath.Join(t.TempDir(), "studio.key")
	public, err := NewKey(path, bytes.Repeat([]byte{7}, ed25519.SeedSize))
	if err != nil || public != signer(someKey) {
		t.Fatalf("%s, %v", public, err)
	}
	if info, _ := os.Stat(path); info.Mode().Perm() != 0o600 {
		t.Errorf("its mode is %o", info.Mode().Perm())
	}
	before, _ := os.ReadFile(path)
	if _, err := NewKey(path, make([]byte, ed25519.SeedSize)); !errors.Is(err, os.ErrExist) {
		t.Errorf("a second key: %v", err)
	}
	if after, _ := os.ReadFile(path); !bytes.Equal(before, after) {
		t.Error("the key was overwritten")
	}
	if key, err := ReadKey(path); err != nil || !key.Equal(someKey) {
		t.Errorf("%v", err)
	}
	if _, err := ReadPublic(path); err == nil || !strings.Contains(err.Error(), "nobody else should have") {
		t.Errorf("the secret half given for the public one: %v", err)
	}
	os.Chmod(path, 0o640)
	if _, err := ReadKey(path); err == nil || !strings.Contains(err.Error(), "chmod 600") {
		t.Errorf("a key that others may read: %v", err)
	}
	held := filepath.Join(t.TempDir(), "public.txt")
	os.WriteFile(held, []byte(public+"\n"), 0o644)
	for _, text := range []string{public, held} {
		if got, err := ReadPublic(text); got != public || err != nil {
			t.Errorf("%s: %s, %v", text, got, err)
		}
	}
	for _, text := range []string{"nowhere.pub", t.TempDir(), packs + "tiny.yaml", public[:63]} {
		if got, err := ReadPublic(text); err == nil {
			t.Errorf("%s was taken for the key %s", text, got)
		}
	}
	if _, err := ReadKey(packs + "tiny.yaml"); err == nil {
		t.Error("a pack was taken for a key")
	}
}

// FuzzOpen: no bytes bring the reader down, and what it takes has the hash it bears.
func FuzzOpen(f *testing.F) {
	small := &edition1.Body{Edition: "1", Case: "c", Number: "1", Texts: []edition1.Text{{SHA256: hash(nil)}}}
	for _, key := range []ed25519.PrivateKey{nil, someKey} {
		small.Signer = signer(key)
		body, err := canon.Encode(small)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(frame(body, sign(key, hash(body))))
	}
	f.Add(frame([]byte(`{"edition":"1"}`), ""))
	f.Add(frame([]byte(`{"edition":1}`), ""))
	f.Add(frame([]byte(`x`), strings.Repeat("0", 128)))
	f.Fuzz(func(t *testing.T, data []byte) {
		s, err := Open(data)
		if err != nil {
			return
		}
		sum := sha256.Sum256(s.Body)
		if hex.EncodeToString(sum[:]) != s.Claimed || !bytes.Equal(frame(s.Body, s.Signature), data) {
			t.Errorf("taken, though it is not as it was sealed")
		}
		b := &edition1.Body{}
		if canon.Decode(s.Body, b) == nil {
			Layers(b) // no panic, whatever it holds
		}
	})
}
