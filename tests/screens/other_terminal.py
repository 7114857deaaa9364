"""What somebody at another terminal does, in a process of its own: `... FILE step|STAGE CODE HOUR`."""

from __future__ import annotations

import sys
from pathlib import Path

from finishing.cure.terms import Stage
from finishing.cure.work import Finding
from finishing.shop import record
from finishing.shop.drafts import StepDraft, TestDraft
from finishing.shop.shop import Shop
from finishing.store import at_file

if __name__ == "__main__":
    file, what, code, hour = sys.argv[1:]
    now = float(hour)
    shop = Shop.open(now, at_file(Path(file)))
    if what == "step":
        record.record_step(shop, StepDraft(code, maker="Ane"), now)
    else:
        record.touch_test(shop, TestDraft(code, Stage(what), Finding.TACKY), now)
    shop.close()
