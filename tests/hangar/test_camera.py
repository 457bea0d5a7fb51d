"""What cameras see, from the phone to the page: photo of a tag, live picture, bench sweep, photos that are kept.

All pictures are drawn, not taken. The fake camera is Chromium's own; it plays a film of drawn pictures.
"""

from __future__ import annotations

from io import BytesIO

import pytest
from camera.bench import codes, label, photo
from hangar.conftest import chromium, opened_phone, sign_in
from hangar.served import FAIRING, JOB, WEIGHT, Device
from PIL import Image

TAG = "elevator tip fairing, LEFT"


def jpeg(picture, **how) -> bytes:
    out = BytesIO()
    picture.save(out, "JPEG", quality=85, **how)
    return out.getvalue()


def close_up(code, size=(1600, 1200)) -> Image.Image:
    """Return a drawn photo of one label."""
    import random

    picture = Image.new("L", size, 120)
    tag = label(code, max(5, size[0] // 115), random.Random(1))
    picture.paste(tag, ((size[0] - tag.width) // 2, (size[1] - tag.height) // 2))
    return picture


@pytest.fixture
def device(shop):
    shop.say("zone tail LEFT", WEIGHT, FAIRING)
    found = Device(shop.app())
    found.sign_in()
    return found


def send(device, route, *pictures, **fields):
    return device.upload(f"/job/{JOB}/{route}", *pictures, **fields)


def test_a_photo_of_a_tag_leads_to_its_page(device, shop):
    answer = send(device, "photo-scan", ("a.jpg", jpeg(close_up(shop.tag(TAG)))))
    assert answer.status_code == 303
    assert answer.headers["Location"] == f"/job/{JOB}/t/{shop.tag(TAG)}?scanned=1"


def test_of_several_tags_in_a_photo_the_person_chooses(device, shop):
    both = [shop.tag(TAG), shop.tag(TAG, "bag")]
    answer = send(device, "photo-scan", ("a.jpg", jpeg(photo(both, module=6, size=(1600, 1200), seed=3))))
    assert "2 tags in the photo: which one?" in answer.text
    assert all(f"/t/{code}" in answer.text for code in both)


def plain(size=(900, 700)):
    return Image.new("L", size, 128)


def foreign():
    import qrcode

    return qrcode.make("https://example.org/hello").get_image().convert("L")


def _gigantic() -> bytes:
    out = BytesIO()
    Image.new("1", (20000, 20000)).save(out, "PNG")
    return out.getvalue()


@pytest.mark.parametrize(
    ("data", "told"),
    [
        (lambda: jpeg(plain()), "no tag was read in that photo"),
        (lambda: jpeg(foreign()), "no tag of ours"),
        (lambda: jpeg(close_up(codes(1, seed=77)[0])), "was never issued here"),
        (lambda: b"", "is empty"),
        (lambda: jpeg(plain())[:900], "is damaged"),
        (lambda: b"<html>", "no picture that can be read"),
        (lambda: b"\x00\x00\x00\x18ftypheic" + b"x" * 99, "HEIC"),
        (_gigantic, "too large a picture"),
    ],
)
def test_a_photo_without_a_tag_of_ours_is_a_sentence(device, shop, data, told):
    before = len(shop.acts())
    answer = send(device, "photo-scan", ("a.jpg", data()))
    assert answer.status_code == 400
    assert told in answer.text
    assert "do:" in answer.text
    assert len(shop.acts()) == before


def test_a_bench_sweep_tells_what_is_there_what_is_not_and_what_is_strange(device, shop):
    stranger = codes(1, seed=5)[0]
    there = [shop.tag(TAG), shop.tag(TAG, "bag"), shop.tag("elevator balance weight, LEFT"), stranger]
    bench = jpeg(photo(there, module=5, size=(2000, 1500), seed=2))
    answer = send(device, "sweep", ("bench.jpg", bench))
    assert answer.status_code == 200
    assert "NOT ALL THERE" in answer.text
    assert "3 of 4 tags that should lie here were seen" in answer.text
    assert "Should be here, and not seen: 1" in answer.text
    assert "Here, and has no business here: 1" in answer.text
    outlined = answer.text.split('class="outlined" src="')[1].split('"')[0]
    picture = device.get(outlined)
    assert Image.open(BytesIO(picture.data)).size == (2000, 1500)


def test_two_photos_of_one_bench_are_one_sweep_and_a_bad_one_keeps_nobody_from_the_others(device, shop):
    first = [shop.tag(TAG), shop.tag(TAG, "bag")]
    second = [shop.tag("elevator balance weight, LEFT"), shop.tag("elevator balance weight, LEFT", "bag")]
    pictures = [(f"{n}.jpg", jpeg(photo(tags, module=5, size=(1600, 1200), seed=n)))
                for n, tags in enumerate((first, second))]  # fmt: skip
    assert "ALL THERE" in send(device, "sweep", *pictures).text
    answer = send(device, "sweep", *pictures, ("x.jpg", b"no photo"))
    assert "4 of 4 tags" in answer.text
    assert "x.jpg" in answer.text


def test_forty_tags_in_a_photo_of_twelve_megapixels_are_all_found(shop):
    shop.say("zone tail LEFT", *(f"off cover {n} LEFT; 4 AN525-10R8; in hole" for n in range(40)))
    device = Device(shop.app())
    device.sign_in()
    tags = [tag.code for tag in shop.state().tags.values()]
    answer = send(device, "sweep", ("bench.jpg", jpeg(photo(tags, module=3, size=(4000, 3000), seed=1))))
    assert "40 of 40 tags" in answer.text


def test_a_photo_is_kept_upright_small_and_without_its_place(device, shop):
    notes = Image.Exif()
    notes[0x0112] = 6
    notes.get_ifd(0x8825)[1] = "N"
    taken = jpeg(Image.new("RGB", (3000, 2000), "red"), exif=notes)
    answer = send(device, "photo", ("a.jpg", taken), about=TAG, key="ab" * 12)
    assert "RECORDED" in answer.text
    (sha,) = shop.state().pictures[TAG]
    kept = device.get(f"/job/{JOB}/photo/{sha}")
    picture = Image.open(BytesIO(kept.data))
    assert picture.size == (1365, 2048)
    assert not picture.getexif()
    assert "immutable" in kept.headers["Cache-Control"]
    assert sha in device.get(f"/job/{JOB}/t/{shop.tag(TAG)}").text


def test_a_photo_taken_on_the_phone_over_plain_http_leads_to_the_tag(phone, shop, tmp_path):
    shop.say("zone tail LEFT", FAIRING)
    file = tmp_path / "photo.jpg"
    file.write_bytes(jpeg(close_up(shop.tag(TAG), size=(4032, 3024))))
    phone.click("text=Camera")
    phone.set_input_files("#scan-file", file)
    phone.wait_for_url(f"**/t/{shop.tag(TAG)}?scanned=1")


@pytest.fixture
def film(shop, tmp_path):
    """A film of an empty bench, then of a tag."""
    shop.say("zone tail LEFT", FAIRING)
    frames = [jpeg(plain((640, 480)))] * 10 + [jpeg(close_up(shop.tag(TAG), (640, 480)))] * 20
    file = tmp_path / "film.mjpeg"
    file.write_bytes(b"".join(frames))
    return file


def test_the_live_camera_reads_a_tag_where_the_browser_gives_it(play, address, shop, film):
    fake = ["--use-fake-ui-for-media-stream", "--use-fake-device-for-media-stream",
            f"--use-file-for-fake-video-capture={film}", "--no-sandbox"]  # fmt: skip
    browser = play.chromium.launch(executable_path=chromium(), args=fake)
    try:
        with opened_phone(browser, address) as page:
            page.goto(f"/job/{JOB}/camera")
            page.click("text=Start")
            page.wait_for_url(f"**/t/{shop.tag(TAG)}?scanned=1")
    finally:
        browser.close()


@pytest.fixture
def file(shop, tmp_path):
    """A photo in a file, of a tag that came off."""
    shop.say("zone tail LEFT", FAIRING)
    made = tmp_path / "photo.jpg"
    made.write_bytes(jpeg(close_up(shop.tag(TAG))))
    return made


def test_a_photo_taken_without_a_network_is_kept_shown_as_waiting_and_sent_by_who_took_it(browser, address, shop, file):
    phone = opened_phone(browser, address, "MB")
    with phone as page:
        sign_in(page, "KT")
        page.goto(f"/job/{JOB}/t/{shop.tag(TAG)}?scanned=1")
        phone.context.set_offline(True)
        page.set_input_files("#photo-file", file)
        page.wait_for_selector(f"#waiting:has-text('WAITING: 1 (no connection'):has-text('KT: photo of {TAG}')")
        page.wait_for_selector("#answer .full.note:has-text('the photo is kept on this device')")
        page.wait_for_selector("#answer", state="hidden")
        page.click("a.home")
        page.wait_for_selector("#answer .full.wrong:has-text('that page cannot be opened now')")
        # somebody else goes on at this device, on a page that was opened anew
        page.close()
        phone.context.set_offline(False)
        phone.context.route("**/photo", lambda route: route.abort())
        again = phone.context.new_page()
        again.goto("/people")
        again.click("button.name:has-text('MB')")
        again.wait_for_url("**/job/*")
        again.wait_for_selector("#waiting:has-text('KT: photo of')")
        phone.context.unroute("**/photo")
        again.wait_for_selector("#waiting", state="hidden")
        assert again.evaluate("Photos.waiting().length") == 0
    assert len(shop.state().pictures[TAG]) == 1
    assert [act.by for act in shop.acts() if act.events[0].__class__.__name__ == "Attached"] == ["KT"]


def test_a_photo_whose_answer_is_lost_counts_once(browser, address, shop, file):
    lost = []

    def swallow(route):
        if lost:
            route.continue_()
        else:
            lost.append(route.fetch().status)
            route.abort()

    with opened_phone(browser, address) as page:
        page.goto(f"/job/{JOB}/t/{shop.tag(TAG)}?scanned=1")
        page.route("**/photo", swallow)
        page.set_input_files("#photo-file", file)
        page.wait_for_selector("#answer .full.done:has-text('PHOTO')")
    assert lost == [200]
    assert len([act for act in shop.acts() if act.events[0].__class__.__name__ == "Attached"]) == 1


def test_only_so_many_photos_wait_and_the_next_one_stays_chosen(browser, address, shop, file):
    phone = opened_phone(browser, address)
    with phone as page:
        page.goto(f"/job/{JOB}/t/{shop.tag(TAG)}?scanned=1")
        phone.context.set_offline(True)
        keys = page.evaluate("""async () => { const keys = [];
          const file = new File(["x"], "x.jpg");
          for (let n = 0; n < 21; n++) keys.push(await Photos.add("/nowhere", [], "KT", "a photo", file));
          return keys; }""")
        assert [bool(key) for key in keys] == [True] * 20 + [False]
        page.set_input_files("#photo-file", file)
        page.wait_for_selector("#answer .full.wrong:has-text('it stays chosen')")
        assert page.evaluate("document.querySelector('#photo-file').files.length") == 1


def test_where_the_browser_keeps_no_photos_the_photo_stays_chosen_and_is_sent_again_by_a_press(
    browser, address, shop, file
):
    phone = opened_phone(browser, address)
    phone.context.add_init_script("IDBFactory.prototype.open = () => { throw new Error('none'); };")
    with phone as page:
        page.goto(f"/job/{JOB}/t/{shop.tag(TAG)}?scanned=1")
        phone.context.set_offline(True)
        page.set_input_files("#photo-file", file)
        page.wait_for_selector("#answer .full.wrong:has-text('the photo was not sent: no connection')")
        page.click("#answer button.main")
        phone.context.set_offline(False)
        page.click("button:text-is('Send again')")
        page.wait_for_selector("#answer .full.done:has-text('PHOTO')")
    assert len(shop.state().pictures[TAG]) == 1


def test_a_photo_that_is_refused_is_told_to_who_took_it(browser, address, shop, file):
    phone = opened_phone(browser, address)
    with phone as page:
        page.goto(f"/job/{JOB}/t/{shop.tag(TAG)}?scanned=1")
        page.set_input_files("#photo-file", file)
        page.wait_for_selector("#answer .full.done")
        page.wait_for_selector("#answer", state="hidden")
        page.set_input_files("#photo-file", file)
        page.wait_for_selector("#answer .full.wrong:has-text('that photo is there already')")
    assert len(shop.state().pictures[TAG]) == 1


def test_a_sweep_in_the_browser_shows_the_outlined_bench(phone, shop, tmp_path):
    shop.say("zone tail LEFT", FAIRING)
    file = tmp_path / "bench.jpg"
    file.write_bytes(jpeg(photo([shop.tag(TAG), shop.tag(TAG, "bag")], module=6, size=(1600, 1200), seed=3)))
    phone.goto(f"/job/{JOB}/sweep")
    phone.set_input_files("#sweep-files", file)
    phone.wait_for_selector("h2:has-text('ALL THERE')")
    picture = phone.locator("img.outlined")
    picture.scroll_into_view_if_needed()
    phone.wait_for_function("document.querySelector('img.outlined').naturalWidth === 1600")


def test_of_two_tags_in_a_photo_the_phone_shows_the_choice(phone, shop, tmp_path):
    shop.say("zone tail LEFT", FAIRING)
    file = tmp_path / "two.jpg"
    file.write_bytes(jpeg(photo([shop.tag(TAG), shop.tag(TAG, "bag")], module=6, size=(1600, 1200), seed=3)))
    phone.goto(f"/job/{JOB}/camera")
    phone.set_input_files("#scan-file", file)
    phone.click(f"a.row:has-text('part: {TAG}')")
    phone.wait_for_url(f"**/t/{shop.tag(TAG)}?scanned=1")


def test_a_photo_is_of_who_took_it_whoever_comes_while_it_is_made_smaller(browser, address, shop, file):
    with opened_phone(browser, address, who="MB") as page:
        sign_in(page, "KT")
        page.goto(f"/job/{JOB}/t/{shop.tag(TAG)}")
        # a phone that takes its time over a photo
        page.evaluate("""() => { const real = createImageBitmap;
            window.createImageBitmap = (...of) => new Promise((done) => {
                window.goOn = () => done(real(...of)); }); }""")
        page.set_input_files("#photo-file", file)
        page.wait_for_function("() => window.goOn")
        page.click("a.who")
        page.click("#answer button.name:has-text('MB')")
        page.wait_for_selector("a.who b:has-text('MB')")
        page.evaluate("window.goOn()")
        page.wait_for_function("() => !document.querySelector('#photo-file').files.length && !Photos.waiting().length")
    assert [act.by for act in shop.acts() if act.events[0].__class__.__name__ == "Attached"] == ["KT"]
