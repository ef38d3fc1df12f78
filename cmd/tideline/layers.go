package main

import (
	"tideline/rules/fault"
	"tideline/rules/pack"
	"tideline/rules/packs"
	"tideline/rules/yamlfile"
)

// loadPack loads the shipped pack with those of --pack laid over it, in the order given. A pack that calls itself what
// the shipped one is called takes its place, so that the shipped pack can be worked on as files.
func (a *app) loadPack() (*pack.Pack, error) {
	faults := &fault.List{}
	shipped, err := packs.Shipped()
	if err != nil {
		return nil, internal{err}
	}
	layers := []pack.Layer{shipped}
	for _, path := range a.packs {
		layer := pack.ReadPath(path, faults)
		if name := nameOf(layer); name != "" && name == nameOf(shipped) {
			layers[0] = layer
			continue
		}
		layers = append(layers, layer)
	}
	if err := faults.Err(); err != nil {
		return nil, err // what could not be read would be missed everywhere
	}
	p := pack.Load(layers, faults)
	return p, faults.Err()
}

// nameOf gives what the first file of a layer calls its pack, "" when that cannot be told.
func nameOf(l pack.Layer) string {
	if len(l.Files) == 0 {
		return ""
	}
	unread := &fault.List{} // the pack loader tells them
	root := yamlfile.Parse(l.Files[0].Name, l.Files[0].Data, unread)
	return root.Map("a pack", "pack").Text("pack")
}
