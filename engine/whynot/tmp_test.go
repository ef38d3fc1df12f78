package whynot
import ("testing";"time";"fmt")
func TestTmp(t *testing.T){
 for name,g:=range shipped(t,"[chps]*.yaml"){ for _,v:=range g.Verdicts{ s:=time.Now(); r,_:=Find(g,v,To(v)); d:=time.Since(s); if d>60*time.Millisecond||r.Tried>=0 { k:=0; if len(r.Sets)>0{k=len(r.Sets[0].Changes)}; fmt.Println(name,v.Treatment.ID,v.Target.Path,v.Word,"->",r.To,r.Outcome,len(r.Sets),r.Count,"first",k,"tried",r.Tried,d)}}}
}
