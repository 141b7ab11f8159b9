package checker_test
import ("testing";"kitgauge/checker";"kitgauge/examples")
func BenchmarkColdOnce(b *testing.B){ file,text,_:=examples.Kit("gritter"); for i:=0;i<b.N;i++ { c:=checker.New(checker.Options{ReadFile: examples.ReadFile, NoSettings:true}); c.Check(file,text)}}
