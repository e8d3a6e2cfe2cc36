package faults
import ("testing";"math/rand/v2";"fmt";"os";"cuewright/audio/decode";"cuewright/audio/voice";"cuewright/audio";"path/filepath")
func TestZZ(t *testing.T){
 for i := range 400 {
  clip, word := record(rand.New(rand.NewPCG(uint64(i), 0)), "")
  for _, f := range Judge(clip, word).Faults { fmt.Println(i, word, clip.Rate, clip.Channels, f.Kind, f.Measured, f.Unit) }
 }
}
func TestTTS(t *testing.T){
 files,_ := filepath.Glob(os.Getenv("TTS"))
 n:=map[string]int{}
 for _, f := range files {
  b,_ := os.ReadFile(f)
  c, err := decode.Bytes(f,b); if err!=nil {fmt.Println(err);continue}
  n["all"]++
  for _, x := range Judge(c, "a b c d").Faults { n[string(x.Kind)+" "+x.Unit]++; if os.Getenv("V")!="" {fmt.Println(filepath.Base(f), x.Kind, x.Severity, x.Measured, x.Unit)} }
 }
 fmt.Println(n)
}
func TestBand(t *testing.T){
 for i := range 300 { for _,k := range []Kind{"", NarrowBand} {
  clip, word := record(rand.New(rand.NewPCG(uint64(i), 0)), k)
  bandDump(string(k)+" "+word, clip)
 }}
 files,_ := filepath.Glob(os.Getenv("TTS"))
 for _, f := range files {
  b,_ := os.ReadFile(f)
  c, err := decode.Bytes(f,b); if err!=nil {fmt.Println(err);continue}
  bandDump(filepath.Base(f), c)
 }
}
func bandDump(n string, c decode.Clip) {
 s,_ := c.Mono(); sp, err := voice.Bounds(s); if err!=nil || c.Rate<16000 {return}
 r := newRecording(c, s, sp, 1)
 w := audio.Sound{Rate: r.rate}
 for _, v := range r.heard[sp.From:sp.To] { w.Samples = append(w.Samples, float32(v)) }
 e := func(split audio.Rate) float64 {
  low := audio.Resample(audio.Resample(w, split), r.rate); var a,b float64
  for i, v := range w.Samples { d := float64(v-low.Samples[i]); a+=d*d; b+=float64(v)*float64(v) }
  return power(a/b) }
 a,b := e(9150), e(6400)
 fmt.Printf("BAND %6.1f %6.1f %6.1f %s %d\n", a, b, b-a, n, c.Rate)
}
