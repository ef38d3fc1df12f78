package record

import (
	"bytes"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"tideline/rules/fault"
)

// FuzzParse tries any bytes: no panic, no fault without a place, the same twice, and a book that hangs together.
func FuzzParse(f *testing.F) {
	seeds := 0
	for _, pattern := range []string{"../../testdata/books/*.yaml", "../../testdata/books/*.json", records + "*"} {
		paths, err := filepath.Glob(pattern)
		if err != nil {
			f.Fatal(err)
		}
		for _, path := range paths {
			data, err := os.ReadFile(path)
			if err != nil {
				f.Fatal(err)
			}
			f.Add(data)
			seeds++
		}
	}
	if seeds == 0 {
		f.Fatal("no seeds")
	}
	words := smallWords()
	f.Fuzz(func(t *testing.T, data []byte) {
		faults, again := &fault.List{}, &fault.List{}
		book := Parse("b.yaml", data, words, today, faults)
		second := Parse("b.yaml", data, words, today, again)
		if !reflect.DeepEqual(faults.All(), again.All()) {
			t.Errorf("two readings differ:\n%v\n%v", faults.All(), again.All())
		}
		if book == nil {
			if all := faults.All(); len(all) == 0 || all[0].Where.File == "" {
				t.Errorf("no book, and not said why: %v", all)
			}
			return
		}
		if lines(book.Results) != lines(second.Results) {
			t.Error("two readings differ in the results")
		}
		for _, fl := range faults.All() {
			if fl.Where.File == "" || fl.Where.Line == 0 || fl.Where.Col == 0 || fl.Summary == "" {
				t.Errorf("fault without a place or a word: %+v", fl)
			}
			if strings.Contains(fl.Error(), "%!") && !bytes.Contains(data, []byte("%")) {
				t.Errorf("badly made message: %s", fl.Error())
			}
			fl.Render()
		}
		hangsTogether(t, book, faults.Len() == 0)
	})
}

// hangsTogether checks what every reader of a book relies on.
func hangsTogether(t *testing.T, book *Book, whole bool) {
	sides := map[*Thing]int{}
	paths := map[string]bool{}
	for _, thing := range book.Things {
		if paths[thing.Path] && whole {
			t.Errorf("two things are called %q", thing.Path)
		}
		paths[thing.Path] = true
		if thing.Kind == "side" {
			sides[thing.Part]++
		}
	}
	for part, n := range sides {
		if n != 2 {
			t.Errorf("%s has %d sides", part.Path, n)
		}
	}
	for _, res := range book.Results {
		if res.Thing == nil || res.Question == nil || res.Question.Kind != res.Thing.Kind || !res.Answer.Known || res.Place.Line == 0 {
			t.Errorf("unfit result %+v", res)
		}
		if v := res.Answer.Num; v-v != 0 {
			t.Errorf("%s is %v", res.Question.ID, v)
		}
	}
}
