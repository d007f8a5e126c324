package cli

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"os"
	"path/filepath"
	"slices"

	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
)

// written is what a plan keeps of the other files of its pack.
func written(files []pending) (out []record.Written) {
	for _, f := range files {
		sum := sha256.Sum256(f.data)
		out = append(out, record.Written{Name: filepath.Base(f.name), Bytes: int64(len(f.data)), SHA256: hex.EncodeToString(sum[:])})
	}
	return out
}

// filesIn reads what the head of a plan says of the pack's files; nothing where it says nothing that can be read.
func filesIn(head []byte) (out []record.Written) {
	_, list, found := bytes.Cut(head, []byte("\n  \"files\": "))
	if !found || json.NewDecoder(bytes.NewReader(list)).Decode(&out) != nil {
		return nil
	}
	return out
}

// asWritten says whether these files of a pack stand as they were written, and of one that was and is not any more, what is wrong.
// The plan is written last: a file of the right length that is no younger than it is taken as it is, any other is read.
func asWritten(dir string, names []string, files []record.Written) (whole bool, broken string) {
	plan, err := os.Stat(filepath.Join(dir, "plan.json"))
	if err != nil {
		return false, ""
	}
	for _, name := range names {
		if name == "plan.json" {
			continue
		}
		i := slices.IndexFunc(files, func(f record.Written) bool { return f.Name == name })
		if i < 0 {
			return false, "" // never written, or by a version that kept no list
		}
		at := filepath.Join(dir, name)
		fi, err := os.Stat(at)
		switch {
		case err != nil:
			return false, name + " was missing and is made anew"
		case fi.Size() == files[i].Bytes && fi.Mode().IsRegular() && !fi.ModTime().After(plan.ModTime()):
			continue
		case fi.Size() == files[i].Bytes && sameBytes(at, files[i]):
			continue
		}
		return false, name + " was not as isocue wrote it and is made anew"
	}
	return true, ""
}

// ended says whether a plan was not cut off: its last bytes are those of every plan.
func ended(plan string) bool {
	f, err := os.Open(plan)
	if err != nil {
		return false
	}
	defer f.Close()
	fi, err := f.Stat()
	if err != nil {
		return false
	}
	var tail [3]byte
	_, err = f.ReadAt(tail[:], max(fi.Size()-int64(len(tail)), 0))
	return err == nil && string(tail[:]) == "\n}\n"
}

// sameBytes reads a file and compares it with what was written.
func sameBytes(name string, was record.Written) bool {
	src, err := load.Fetch(name, int(was.Bytes))
	sum := sha256.Sum256(src)
	return err == nil && hex.EncodeToString(sum[:]) == was.SHA256
}
