// What runs in the browser, one module a subject. Nothing here is needed to read a page or to save a form.
import 'htmx.org';
import './script-on.js';
import './requests.js';
import './change-ids.js';
import './keep-typing.js';
import './keep-place.js';
import './saying.js';
import './length-keys.js';
import './steppers.js';
import './doors.js';
import './unfolded.js';
import './light.js';
import './signature.js';
import './plan/canvas.js';
