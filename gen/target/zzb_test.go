package target
import ("testing";"os";"context")
func TestZZHand(t *testing.T){ u:=compiled(t,"../../testdata/specs/loop_b.yaml"); s,err:=build(context.Background(),"avr8",other(t,u,version{name:"h",file:"loop_b_hand.h"})); if err!=nil{t.Fatal(err)}; t.Logf("%+v",s.Measured()); os.MkdirAll("/tmp/tgt/hb",0o755); for _,f:=range []string{"firmware.elf","firmware.c","loop_b.h"} { b,_:=os.ReadFile(s.dir+"/"+f); os.WriteFile("/tmp/tgt/hb/"+f,b,0o644)}; s.Close()}
