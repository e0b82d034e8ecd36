import { BarChart, CustomChart, LineChart } from "echarts/charts";
import { GridComponent, MarkAreaComponent, MarkLineComponent } from "echarts/components";
import { init, use } from "echarts/core";
import { SVGRenderer } from "echarts/renderers";

// Only the parts that the drawings use: the whole library in a page would cost four times as much.
use([BarChart, CustomChart, LineChart, GridComponent, MarkAreaComponent, MarkLineComponent, SVGRenderer]);

export { init };
