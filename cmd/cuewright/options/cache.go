package options

import (
	"os"
	"path/filepath"
)

// cacheFolder is where clips that are ready and what tracks were made from are kept from run to run: the folder named
// by CUEWRIGHT_CACHE, none where that is "off", else one in the user's cache.
func cacheFolder() string {
	switch dir := os.Getenv("CUEWRIGHT_CACHE"); dir {
	case "off":
		return ""
	case "":
		user, err := os.UserCacheDir()
		if err != nil {
			return ""
		}
		return filepath.Join(user, "cuewright")
	default:
		return dir
	}
}
