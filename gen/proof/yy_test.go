package proof
import ("testing";"os";"gainwright/model";"gainwright/gen/c";"fmt";"strings")
func TestYY(t *testing.T){ b,_:=os.ReadFile("../../templates/starters/cart.yaml"); u:=model.Compile("cart.yaml",b); files,err:=Files(u); if err!=nil{t.Fatal(err)}; files["cart_vectors.h"]=c.Vectors(u,64); for k,v:=range files{os.WriteFile("/tmp/pf/cart/"+k,v,0o644)}
 for i,p:=range parts(u,files["cart.h"]) { os.WriteFile(fmt.Sprint("/tmp/pf/cart/args",i),[]byte(strings.Join(arguments(u,files["cart.h"],Int16,p)," ")),0o644)} }
