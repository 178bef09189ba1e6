"""What calculations of drainage share: words of caution, sources, the rain put in, flow and area drained."""

from app.domain.trades.calculation import Input, Output
from app.domain.trades.quantity import AREA_SF, FLOW, RAIN

TRADE = "Drainage"
WHERE = "Every drain ends somewhere: never on a neighbor, at a footing, or in a sanitary sewer."
DIG = "Before digging: have lines located. From 5 ft on a trench needs a protective system."
RAIN_SOURCE = "Look the rain up for the place (the weather service's frequency atlas); the default is an assumption."
ASKS = "A plan that a town must approve, water over a lot line, an existing problem in a house: a civil engineer."
INTENSITY = Input(name="rain", label="Rain", quantity=RAIN, default=4.5, least=0.1, most=20.0)

GPM = Output(name="flow", label="Flow", quantity=FLOW, main=True)
SERVES = Output(name="serves", label="Level area it drains", quantity=AREA_SF, main=True)
