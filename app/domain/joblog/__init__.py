"""What happened while a job was built, day by day, held against what was bid."""

from app.domain.joblog.against_bid import AgainstBid, Row, Sum, against_bid, at_this_pace
from app.domain.joblog.bid import BidTask, TaskPlace, bid_tasks, mean_per_hour
from app.domain.joblog.daily_log import LogDay, hours_text, log_days, quarters_of

__all__ = [
    "AgainstBid", "BidTask", "LogDay", "Row", "Sum", "TaskPlace", "against_bid", "at_this_pace", "bid_tasks",
    "hours_text", "log_days", "mean_per_hour", "quarters_of",
]  # fmt: skip
