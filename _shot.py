import sys,threading,time,uvicorn
from pathlib import Path
from tempfile import mkdtemp
from datetime import datetime,UTC
from innerleaf.store.engine import open_store
from innerleaf.web.app import make_app
from innerleaf.web.desk import Desk,JOB_FILE
from innerleaf.web.demo import demo_files
from tests.web.conftest import SMALL
from tests.web.browser import *
d=Path(mkdtemp())
desk=Desk(open_store(f"sqlite:///{d/'s.db'}"),d/"work")
job=desk.take_in(demo_files(),who="Ada").line.document
server=uvicorn.Server(uvicorn.Config(make_app(desk,user="Ada"),host="127.0.0.1",port=0,log_level="error"))
threading.Thread(target=server.run,daemon=True).start()
while not server.started: time.sleep(.05)
url=f"http://127.0.0.1:{server.servers[0].sockets[0].getsockname()[1]}"
for w,dark in ((360,False),(1024,True),(1920,False)):
    with browser(d/f"p{w}",viewport={"width":w,"height":900},color_scheme="dark" if dark else "light") as c:
        page,comp=watched(c)
        page.goto(f"{url}/site"); print(w,"jobs",barriers(page))
        t=time.time(); page.goto(f"{url}/site/{job}"); page.locator("#site[data-ready=yes]").wait_for(state="attached"); print("loaded",time.time()-t)
        print(w,"today",barriers(page)); page.screenshot(path=f"/tmp/site_{w}_today.png",full_page=True)
        page.goto(f"{url}/site/{job}#wall/G-01"); page.locator(".paper svg").wait_for()
        for s in page.locator("details > summary").all(): 
            if not s.evaluate("e=>e.parentElement.open"): s.click()
        print(w,"wall",barriers(page)); page.screenshot(path=f"/tmp/site_{w}_wall.png",full_page=True)
        small=page.evaluate("[...document.querySelectorAll('.site button,.site a,.site input,.site select,.site summary, .bar a, .bar input, .site textarea')].filter(e=>e.offsetParent).map(e=>[e.tagName,e.textContent.slice(0,20),e.getBoundingClientRect().height,e.getBoundingClientRect().width]).filter(x=>x[2]<44||x[3]<44)")
        print("small targets",small[:5],len(small))
        print("wide", page.evaluate("document.documentElement.scrollWidth"))
        page.goto(f"{url}/site/{job}#material"); page.locator("table").wait_for(); print(w,"material",barriers(page)); page.screenshot(path=f"/tmp/site_{w}_material.png",full_page=True)
        print(comp)
server.should_exit=True
