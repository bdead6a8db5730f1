package target
import ("testing";"context";"os";"os/exec";"strings";"fmt";"gainwright/gen/target/path";"gainwright/model/trial")
// prints where the longest path and the worst measured tick differ
func TestZZGap(t *testing.T){ 
 file:=os.Getenv("SPEC"); if file=="" { t.Skip() }
 u:=compiled(t,file)
 s,err:=NewSimulated(context.Background(),"avr8",u); if err!=nil{t.Fatal(err)}; defer s.Close()
 src,_:=os.ReadFile(s.dir+"/runner.c")
 x:=string(src)
 x=strings.Replace(x,"static uint32_t spent;","static uint32_t spent, top; static uint16_t tr[2][20000]; static int tn, tc, tbest, nbest;",1)
 x=strings.Replace(x,"state = avr_run(avr);","if (inside && tn < 20000) tr[tc][tn++] = pc; state = avr_run(avr);",1)
 x=strings.Replace(x,"inside = 1;","inside = 1; tn = 0;",1)
 x=strings.Replace(x,"spent = (uint32_t)(avr->cycle - since);","spent = (uint32_t)(avr->cycle - since); if (spent > top) { top = spent; tbest = tc; nbest = tn; tc = 1 - tc; FILE *f = fopen(\"trace\",\"w\"); for (int i = 0; i < nbest; i++) fprintf(f, \"%x\\n\", tr[tbest][i]); fclose(f); }",1)
 os.WriteFile(s.dir+"/runner.c",[]byte(x),0o644)
 if out,err:=exec.Command("sh","-c","cd "+s.dir+" && cc -O2 runner.c -o runner -lsimavr").CombinedOutput(); err!=nil{t.Fatal(string(out))}
 // only the longest run matters: Verify restarts, so keep the largest by running all in one trace file per run
 best:=0; var trace []string
 r:=&recorder{to:s}
 if _,err:=trial.Verify(t.Context(),u,trial.Options{Ticks:60000,Target:r}); err!=nil{t.Fatal(err)}
 for _,in:=range r.runs { s.measured.Worst=0; drive(t,s,in); if s.measured.Worst>best { best=s.measured.Worst; b,_:=os.ReadFile(s.dir+"/trace"); trace=strings.Fields(string(b)) } }
 text,_:=run(t.Context(),s.dir,"avr-objdump","-d","-z","-l","firmware.elf")
 plain,_:=run(t.Context(),s.dir,"avr-objdump","-d","-z","firmware.elf")
 l,_:=path.Read(plain); w,err:=l.Worst("Step"); if err!=nil{t.Fatal(err)}
 src2:=map[string]string{}; line:=""; hdr,_:=os.ReadFile(s.dir+"/"+u.Spec.Name+".h"); hl:=strings.Split(string(hdr),"\n")
 for _,x:=range strings.Split(string(text),"\n"){ if i:=strings.LastIndex(x,".h:"); i>0 && !strings.Contains(x,"\t"){ var n int; fmt.Sscanf(x[i+3:],"%d",&n); if n>0&&n<=len(hl){line=strings.TrimSpace(hl[n-1])} } else if c:=strings.Split(x,"\t"); len(c)>2 { var at int; fmt.Sscanf(strings.TrimSpace(c[0]),"%x:",&at); src2[fmt.Sprintf("%x",at)]=strings.Join(c[2:]," ")+"     | "+line } }
 a:=map[string]int{}; b:=map[string]int{}
 for _,v:=range w.Visits{ a[fmt.Sprintf("%x",v.At)]++ }
 for _,x:=range trace{ b[x]++ }
 fmt.Println("measured",best,"path",w.Cycles, "trace",len(trace),"visits",len(w.Visits))
 seen:=map[string]bool{}
 for _,v:=range w.Visits{ k:=fmt.Sprintf("%x",v.At); if !seen[k]&&a[k]!=b[k]{ fmt.Printf("path %d real %d  %s: %s\n",a[k],b[k],k,src2[k]) }; seen[k]=true }
 fmt.Println("--- only in the real tick")
 for _,k:=range trace{ if a[k]==0 && !seen[k] { fmt.Printf("real %d  %s: %s\n",b[k],k,src2[k]) ; seen[k]=true } }
}
