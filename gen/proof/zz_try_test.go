package proof
import ("testing";"os";"path/filepath";"gainwright/model";"gainwright/gen/c";"time";"fmt")
func TestZZ(t *testing.T){
 paths,_:=filepath.Glob("../../templates/starters/*.yaml")
 for _,p:=range paths{ b,_:=os.ReadFile(p); t0:=time.Now(); u:=model.Compile(filepath.Base(p),b); if !u.OK(){t.Log(p,u.Findings);continue}
 fmt.Println(p,time.Since(t0),len(u.Integer.Ops),u.Certificate.Taps)
 n:=filepath.Base(p); n=n[:len(n)-5]; os.MkdirAll("/tmp/pf/"+n,0o755)
 os.WriteFile("/tmp/pf/"+n+"/"+u.Spec.Name+".h",c.Header(u),0o644)
 os.WriteFile("/tmp/pf/"+n+"/"+u.Spec.Name+"_vectors.h",c.Vectors(u,64),0o644)
 }
}
