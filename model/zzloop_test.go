package model
import ("testing";"os";"fmt";"encoding/json";"time";"strings";"gainwright/model/loop")
func TestZZLoop(t *testing.T){
 for _,n:=range strings.Split(os.Getenv("ZZ"),","){
 b,_:=os.ReadFile("../templates/starters/"+n+".yaml")
 u:=Compile(n+".yaml",b)
 for _,f:=range u.Findings{fmt.Println(f)}
 if u.Plant==nil||u.Scenario==nil{continue}
 at:=time.Now()
 v,err:=loop.New(&loop.System{Spec:u.Spec,Asked:u.Asked,Stored:u.Stored,Integer:u.Integer,Plant:u.Plant,Scenario:u.Scenario})
 fmt.Println("=====",n,err,time.Since(at))
 if err!=nil{continue}
 for i:=range v.Cuts{ v.Cuts[i].Bode=[2]loop.Bode{}}
 j,_:=json.MarshalIndent(v,""," ")
 s:=string(j)
 s=strings.ReplaceAll(s,"\n     ","")
 fmt.Println(strings.ReplaceAll(s,"\n    ",""))
 }}
