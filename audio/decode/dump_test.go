package decode
import ("testing";"os";"path/filepath";"fmt")
func TestDump(t *testing.T){
 m,_:=filepath.Glob("../../testdata/cases/*/*.[mf]*")
 for _,p:=range m{ b,_:=os.ReadFile(p); c,err:=Bytes(filepath.Base(p),b)
 fmt.Printf("%s: n=%d %v %v %q err=%T %v\n",filepath.Base(p),len(c.Samples),c.Rate,c.Channels,c.Warnings,err,err)}
}
