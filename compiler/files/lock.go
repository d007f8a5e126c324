package files

import (
	"fmt"
	"time"
)

// folderWait is how long a run waits for another that writes into the same folder, and folderPause how long between two tries.
const folderWait, folderPause = 10 * time.Second, 10 * time.Millisecond

// lockFolder keeps other runs from writing into a folder; the system unlocks it when the process ends, however it ends. busy, if
// there is one, is called once before it waits for another run.
func lockFolder(dir string, busy func()) (unlock func(), err error) {
	for waited := time.Duration(0); ; waited += folderPause {
		unlock, held := tryLock(dir)
		switch {
		case !held:
			return unlock, nil
		case waited > folderWait:
			return nil, fmt.Errorf("another isocue has been writing into its folder for %v, allowed: one at a time; try again", folderWait)
		case waited == 0 && busy != nil:
			busy()
		}
		time.Sleep(folderPause)
	}
}
